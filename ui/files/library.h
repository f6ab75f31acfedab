/* SPDX-License-Identifier: ISC */
/* The library of phrases: those that come with Reedlamp, and those in the player's own folder as
   ABC or as parts of MIDI files. Reading the library finds the titles only; a phrase is read when
   it is selected. A library belongs to one thread at a time, not the audio thread: it reads files
   (rl_library_read(), rl_library_keep(), rl_library_rename()) and allocates. */
#ifndef RL_UI_MODEL_LIBRARY_H
#define RL_UI_MODEL_LIBRARY_H

#include "core/abc/abc.h"
#include "core/capture/smf.h"

enum {
  RL_LIBRARY_MAX      = 20000,   /**< phrases */
  RL_LIBRARY_TEXT_MAX = 1 << 24, /**< bytes of text in all */
  RL_LIBRARY_FILE_MAX =
    1 << 22, /**< bytes of one file; a longer one is left out and reported in `problem` */
  RL_LIBRARY_UNREAD = -1,
  RL_LIBRARY_WRONG  = -2 /**< RlLibraryPhrase.left */
};

/** A phrase. */
typedef struct {
  uint32_t at, length; /**< bytes of its tune, or of the whole MIDI file, in RlLibrary.text */
  char     title[RL_PHRASE_TITLE_SIZE]; /**< as in the file */
  int32_t  file;                        /**< in RlLibrary.file */
  uint32_t from, size;     /**< bytes of its tune in that file's text, as it stands there */
  bool     own;            /**< from the player's folder */
  bool     midi;           /**< a part of a MIDI file, or a recording: it becomes a take */
  bool     clip;           /**< a recording: only its name was read */
  uint8_t  track, channel; /**< of that part */
  int32_t  left; /**< things in its tune that a phrase has no room for; or RL_LIBRARY_UNREAD until
                      rl_library_look(), RL_LIBRARY_WRONG if it cannot be read */
} RlLibraryPhrase;

/** A file. Its text is UTF-8. */
typedef struct {
  uint32_t name_at;    /**< its name, NUL-terminated, in RlLibrary.text */
  uint32_t at, length; /**< its text there */
  uint32_t end;        /**< of what belongs to it there */
  bool     own, midi;
  bool     latin1; /**< it is in Latin-1, and its text was made of that */
} RlLibraryFile;

/** Zeroed before its first use. */
typedef struct {
  int              files, files_capacity;
  RlLibraryFile   *file; /**< the player's first, in the order of their names */
  int              count, capacity;
  RlLibraryPhrase *phrase;          /**< the player's first, in the order of their files' names */
  size_t           used, text_size; /**< bytes of `text` in use, and allocated */
  char            *text;
  char problem[512]; /**< the last file or tune that could not be used, and why; or empty */
} RlLibrary;

/** Reads all files *.abc, *.mid and *.midi (in any case), and the names of recordings, of `folder`,
   then the tunebook `book` (NULL: none); what was read before is replaced. */
void rl_library_read(RlLibrary *library, const char *folder, const char *book);
void rl_library_free(RlLibrary *library);

/** Writes a phrase into a new file in `folder`, which is created if it does not exist. Where the
    library has a phrase of that title already, the next free number is appended to `phrase->title`.
    False if that fails; `library->problem` says why. */
bool rl_library_keep(RlLibrary *library, const char *folder, RlPhrase *phrase);

/** Reads a phrase, once, to fill in what is left out of it. */
void rl_library_look(RlLibrary *library, int index, RlPhrase *scratch);

/** Gives a phrase that was kept another title, which no other one has: it is written into a new
    file, named after the title, and the file before is removed unless somebody has changed it.
    `phrase` is as it was kept. False if that fails; `library->problem` says why. */
bool rl_library_rename(RlLibrary *library, const char *folder, RlPhrase *phrase, const char *title);

/** A file's name, and its text. */
const char *rl_library_file_name(const RlLibrary *library, int file);
RlSlice     rl_library_file_text(const RlLibrary *library, int file);

/** The file of the player's own that has that name, -1 if there is none. */
int rl_library_file_find(const RlLibrary *library, const char *name);

/** A text has become that of a file of the player's own, in UTF-8, which may be a new one (NULL:
   the file is gone). The phrases follow. False without memory or room: then nothing has changed. */
bool rl_library_file_put(RlLibrary *library, const char *name, const char *text);

/** The bytes of a file that has this text, into `bytes`, where there is room for as many as the
    text has; returns how many, -1 if the file is in Latin-1 and the text is not. */
ptrdiff_t rl_library_file_bytes(bool latin1, RlSlice text, char *bytes);

/** Writes the name of a new file for a phrase of that title: one that no file has. */
void rl_library_file_new_name(const RlLibrary *library, const char *title, RlText *name);

/** Makes a title one that no phrase of the library has: `Take 1` becomes `Take 2`, `Lantern`
    becomes `Lantern 2`. */
void rl_library_title_free(const RlLibrary *library, char title[RL_PHRASE_TITLE_SIZE]);

/** Has it a phrase of that title? */
bool rl_library_has(const RlLibrary *library, const char *title);

/** Transcribes a MIDI part to a phrase with its title, and finds the bar of `form` (may be NULL;
   see rl_smf_phrase()) on which it was played. False if that fails; the reason is appended to
   `why`. */
bool rl_library_midi(const RlLibrary *library, int index, const RlForm *form, RlKey key,
                     RlPhrase *phrase, int *bar, RlText *why);

/** The tune of a phrase; for a MIDI part, the bytes of its file. */
RlSlice rl_library_tune(const RlLibrary *library, int index);

#endif
