/* The player's library of phrases: the ones that come with Reedlamp and those in a folder of the
   player's own, as ABC. Read when asked for; whoever draws reads it only. */
#ifndef RL_LIBRARY_H
#define RL_LIBRARY_H

#include "../core/abc.h"

enum {
  RL_LIBRARY_MAX      = 256,     /**< phrases */
  RL_LIBRARY_ROOM     = 1 << 18, /**< bytes of text in all */
  RL_LIBRARY_FILE_MAX = 65536 /**< bytes of one file; longer ones are left out, and that is said */
};

/** A phrase of it. */
typedef struct {
  uint32_t at, length; /**< of its tune, in RlLibrary.text */
  char     title[RL_PHRASE_TITLE_ROOM];
  bool     own; /**< the player's */
} RlLibraryPhrase;

/** A whole library. About 280 KiB. */
typedef struct {
  int             count;
  RlLibraryPhrase phrase[RL_LIBRARY_MAX]; /**< the player's first, by their files' names */
  size_t          used;
  char            text[RL_LIBRARY_ROOM];
  char problem[512]; /**< the last file or tune that could not be used, and why; or empty */
} RlLibrary;

/** Reads all files *.abc of `folder`, then the tunebook `book` (NULL for either: none). */
void rl_library_read(RlLibrary *library, const char *folder, const char *book);

/** The tune of a phrase. */
RlSlice rl_library_tune(const RlLibrary *library, int index);

#endif
