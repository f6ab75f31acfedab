/* SPDX-License-Identifier: ISC */
/* The text of a chart out of a file, and what is said of files. Any thread but those of audio and
   drawing: a file may not answer. */
#ifndef RL_UI_FILES_CHART_TEXT_H
#define RL_UI_FILES_CHART_TEXT_H

#include "core/chart/chart.h"

enum { RL_FILE_WORDS_SIZE = 512 /**< of what is said about a file, the NUL included */ };

/** One byte more than a chart may have, so that a longer one is seen to be; NUL-terminated. */
typedef struct {
  size_t length;
  char   text[RL_CHART_MAX + 2];
} RlChartText;

/** Reads a regular file. 0, or an errno; for what is no regular file EISDIR or EINVAL. */
int rl_chart_text_read(const char *path, RlChartText *text);

/** Is it the same text? */
bool rl_chart_text_is(const RlChartText *text, const RlChartText *other);

/** Appends what an errno means for a file of the player's, and the way out: "not found; …". */
void rl_file_why(int error, RlText *text);

/** Does the path lie in that folder, or below it? Never in "". */
bool rl_path_lies_in(const char *path, const char *folder);

/** Appends a path or a file's name as it can be shown: bytes that are not UTF-8 as `?`. */
void rl_file_name_write(const char *name, RlText *text);

#endif
