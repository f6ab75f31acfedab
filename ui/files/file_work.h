/* SPDX-License-Identifier: ISC */
/* Work with files in the background: a folder of a network may not answer for minutes, or ever. */
#ifndef RL_UI_FILES_FILE_WORK_H
#define RL_UI_FILES_FILE_WORK_H

#include "plugin/thread/background.h"

enum { RL_FILE_WORKS_MAX = 16 /**< at once, those that hang included */ };

/** As rl_background_begin(). */
static inline RlBackground *
rl_file_work_begin(void (*const work)(void *data, const RlBackground *background),
                   void (*const drop)(void *data), void *const data)
{
  return rl_background_begin(RL_FILE_WORKS_MAX, work, drop, data);
}

#endif
