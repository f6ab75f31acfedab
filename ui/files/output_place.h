/* SPDX-License-Identifier: ISC */
/* Where a program that was told to write may do so. */
#ifndef RL_UI_FILES_OUTPUT_PLACE_H
#define RL_UI_FILES_OUTPUT_PLACE_H

#include <sys/stat.h>

/** Why what lies at `path`, as stat() told it, must not be replaced, in words; NULL: it may be.
   Only a plain file that may be written may be. Any thread. */
const char *rl_output_place_wrong(const char *path, const struct stat *is);

#endif
