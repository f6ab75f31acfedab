/* SPDX-License-Identifier: ISC */
/* The text of a chart out of a file. */
#ifndef RL_PLUGIN_WORKER_CHART_FILE_H
#define RL_PLUGIN_WORKER_CHART_FILE_H

#include "core/text/text.h"

/** Reads a file into `text`, which has room for RL_CHART_MAX + 1 bytes: one more than a chart may
    have, so that a longer one is seen to be. NULL, or why not, in words that are good until the
   next call. A pipe or a device is not opened: it might keep the worker waiting for ever. */
const char *rl_chart_file_read(const char *path, char *text, size_t *length);

#endif
