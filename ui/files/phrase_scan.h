/* SPDX-License-Identifier: ISC */
/* The library of phrases read in the background: the player's folder and the tunebook that comes
   along. */
#ifndef RL_UI_FILES_PHRASE_SCAN_H
#define RL_UI_FILES_PHRASE_SCAN_H

#include "plugin/protocol/properties.h"
#include "ui/files/file_work.h"
#include "ui/files/library.h"

typedef struct {
  char      folder[RL_PATH_SIZE], book[RL_PATH_SIZE]; /**< empty: none */
  RlLibrary library;                                  /**< once the work is done */
} RlPhraseScan;

/** Begins to read. NULL if that cannot be done. */
RlBackground *rl_phrase_scan_begin(const char *folder, const char *book, RlPhraseScan **scan);

#endif
