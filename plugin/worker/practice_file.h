/* SPDX-License-Identifier: ISC */
/* The practice file: a line for every chorus, of all songs, in the player's data folder. Not for
   the audio thread. */
#ifndef RL_PLUGIN_WORKER_PRACTICE_FILE_H
#define RL_PLUGIN_WORKER_PRACTICE_FILE_H

#include "core/text/text.h"

enum { RL_PRACTICE_PATH_SIZE = 4096, RL_PRACTICE_FILE_MOST = 1 << 18 /**< bytes that are read */ };

/** Appends its path: practice.txt in reedlamp below $XDG_DATA_HOME, else ~/.local/share. Nothing
   where neither is set. */
void rl_practice_file_path(RlText *path);

/** Appends a line (with its newline) in one piece; makes file and folders. NULL, or why not. */
const char *rl_practice_file_append(const char *path, RlSlice line);

/** Reads the file, or the last of it in whole lines, into RL_PRACTICE_FILE_MOST bytes at `to`.
   Empty where there is none. */
RlSlice rl_practice_file_read(const char *path, char *to);

#endif
