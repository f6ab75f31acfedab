/* The player's library of phrases: the ones that come with Reedlamp and those in a folder of the
   player's own, as ABC. Opening it finds titles only; a phrase is read when it is looked at. */
#ifndef RL_LIBRARY_H
#define RL_LIBRARY_H

#include "../core/abc.h"

enum {
  RL_LIBRARY_MAX  = 20000,   /**< phrases */
  RL_LIBRARY_ROOM = 1 << 24, /**< bytes of text in all */
  RL_LIBRARY_FILE_MAX =
    1 << 22 /**< bytes of one file; longer ones are left out, and that is said */
};

/** A phrase of it. */
typedef struct {
  uint32_t at, length;                  /**< of its tune, in RlLibrary.text */
  char     title[RL_PHRASE_TITLE_ROOM]; /**< as it stands in the file */
  bool     own;                         /**< the player's */
} RlLibraryPhrase;

/** A whole library; zeroed at the beginning. */
typedef struct {
  int              count, room;
  RlLibraryPhrase *phrase; /**< the player's first, by their files' names */
  size_t           used, text_room;
  char            *text;
  char problem[512]; /**< the last file or tune that could not be used, and why; or empty */
} RlLibrary;

/** Reads all files *.abc of `folder`, then the tunebook `book` (NULL for either: none), in the
   place of what was read before. */
void rl_library_read(RlLibrary *library, const char *folder, const char *book);
void rl_library_free(RlLibrary *library);

/** Writes a phrase into a file of its own in `folder`, which is made if it is not there. Where the
    library has a phrase of that title already, it gets the next free number behind it:
   `phrase->title` is changed then. False if that cannot be, and `library->problem` says why. */
bool rl_library_keep(RlLibrary *library, const char *folder, RlPhrase *phrase);

/** The tune of a phrase. */
RlSlice rl_library_tune(const RlLibrary *library, int index);

#endif
