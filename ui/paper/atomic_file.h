/* SPDX-License-Identifier: ISC */
/* Files that are there whole or not at all: written beside their place, then renamed. Nothing here
   touches what belongs to the whole process (its umask, its signals), so that a guest in a host's
   process may use it. Any thread. */
#ifndef RL_UI_PAPER_ATOMIC_FILE_H
#define RL_UI_PAPER_ATOMIC_FILE_H

#include "ui/paper/pdf.h"

#include <stdbool.h>

/** Writes all of it to a file descriptor. False, and errno. */
bool rl_bytes_write(int to, const RlBytes *bytes);

/** Writes it into a new file beside `path`, with the mode new files have. NULL, or why not.
    `beside` becomes that file's name, to be renamed or unlinked and freed, whether it is whole or
    not; NULL if there is none. */
const char *rl_atomic_file_write(const char *path, const RlBytes *bytes, char **beside);

#endif
