/* SPDX-License-Identifier: ISC */
/* Files that are written whole or not at all: into a new file in the same folder, which is then
   renamed. Nothing here touches what belongs to the whole process (its umask, its signals), so that
   a plugin inside a host may use it. Any thread. */
#ifndef RL_UI_PAPER_ATOMIC_FILE_H
#define RL_UI_PAPER_ATOMIC_FILE_H

#include "ui/paper/bytes.h"

/** Writes it into a new file in the folder of `path`, with the mode new files have. NULL, or why
    not. `temporary` becomes that file's name, whether it is whole or not, to be renamed or unlinked
    and freed; NULL if there is none. */
const char *rl_atomic_file_write(const char *path, const RlBytes *bytes, char **temporary);

#endif
