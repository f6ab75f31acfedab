/* SPDX-License-Identifier: ISC */
/* The charts that were opened or saved last, kept between sessions in the file `recent-charts` of a
   folder: a path a line, the newest first. Several windows may write it. Any thread but those of
   audio and drawing. */
#ifndef RL_UI_FILES_RECENT_CHARTS_H
#define RL_UI_FILES_RECENT_CHARTS_H

#include "ui/files/chart_list.h"
#include "ui/files/file_work.h"

enum { RL_RECENT_CHARTS = 10 };

/** Appends them to a list, unread. What cannot be read is told in `problem`; no file is no fault.
 */
void rl_recent_charts_read(const char *folder, RlChartList *list);

/** Puts a path first. Creates the folder if it does not exist. 0, or an errno. */
int rl_recent_charts_add(const char *folder, const char *path);

/** The same, in the background; whether it succeeds is not told. */
void rl_recent_charts_note(const char *folder, const char *path);

#endif
