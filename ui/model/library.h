/* SPDX-License-Identifier: ISC */
/* The player's library of phrases: the ones that come with Reedlamp and those in a folder of the
   player's own, as ABC; and the parts of MIDI files there. Opening it finds titles only; a phrase
   is read when it is looked at. */
#ifndef RL_UI_MODEL_LIBRARY_H
#define RL_UI_MODEL_LIBRARY_H

#include "core/abc/abc.h"
#include "core/capture/smf.h"

enum {
  RL_LIBRARY_MAX      = 20000,   /**< phrases */
  RL_LIBRARY_TEXT_MAX = 1 << 24, /**< bytes of text in all */
  RL_LIBRARY_FILE_MAX =
    1 << 22 /**< bytes of one file; longer ones are left out, and that is said */
};

/** A phrase of it. */
typedef struct {
  uint32_t at, length;                  /**< of its tune or MIDI file, in RlLibrary.text */
  char     title[RL_PHRASE_TITLE_SIZE]; /**< as it stands in the file */
  bool     own;                         /**< the player's */
  bool     midi;                        /**< part of a MIDI file */
  uint8_t  track, channel;              /**< which */
} RlLibraryPhrase;

/** A whole library; zeroed at the beginning. */
typedef struct {
  int              count, room;
  RlLibraryPhrase *phrase; /**< the player's first, by their files' names */
  size_t           used, text_room;
  char            *text;
  char problem[512]; /**< the last file or tune that could not be used, and why; or empty */
} RlLibrary;

/** Reads all files *.abc, *.mid and *.midi of `folder`, then the tunebook `book` (NULL for either:
   none), in the place of what was read before. */
void rl_library_read(RlLibrary *library, const char *folder, const char *book);
void rl_library_free(RlLibrary *library);

/** Writes a phrase into a file of its own in `folder`, which is made if it is not there. Where the
    library has a phrase of that title already, it gets the next free number behind it:
   `phrase->title` is changed then. False if that cannot be, and `library->problem` says why. */
bool rl_library_keep(RlLibrary *library, const char *folder, RlPhrase *phrase);

/** Writes a MIDI part down as a phrase, titled as in the library, and finds the bar of `form` (may
   be NULL; see rl_smf_phrase()) on which it was played. False, and `why` gets the reason, if it
   cannot be. */
bool rl_library_midi(const RlLibrary *library, int index, const RlForm *form, RlKey key,
                     RlPhrase *phrase, int *bar, RlText *why);

/** The tune of a phrase; of a MIDI part, the bytes of its file. */
RlSlice rl_library_tune(const RlLibrary *library, int index);

#endif
