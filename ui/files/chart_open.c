/* SPDX-License-Identifier: ISC */
#include "ui/files/chart_open.h"

#include "ui/files/chart_list.h"

#include <errno.h>
#include <stdlib.h>
#include <string.h>

/* ---- looking ---- */

static void
look_work(void *const data, const RlBackground *const background)
{
  RlChartLook *const look = (RlChartLook *)data;
  RlChartText *const text = (RlChartText *)malloc(sizeof(RlChartText));
  RlChartError       error;
  RlText             words = rl_text_in(look->why, sizeof(look->why));
  const int          why   = text ? rl_chart_text_read(look->path, text) : ENOMEM;
  (void)background;
  if (why) {
    rl_file_why(why, &words);
  } else if (!rl_chart_read((RlSlice){text->text, text->length}, &look->form, &error)) {
    rl_chart_error_write(&error, &words);
  } else {
    look->good = true;
  }
  free(text);
}

RlBackground *
rl_chart_look_begin(const char *const path, RlChartLook **const look)
{
  RlBackground *background = NULL;
  *look                    = (RlChartLook *)calloc(1, sizeof(RlChartLook));
  if (*look && strlen(path) < sizeof((*look)->path)) {
    memcpy((*look)->path, path, strlen(path) + 1);
    background = rl_file_work_begin(look_work, free, *look);
  }
  if (!background) {
    free(*look);
    *look = NULL;
  }
  return background;
}

/* ---- is it kept? ---- */

static bool
holds(const char *const path, const RlChartText *const text, RlChartText *const scratch)
{
  return !rl_chart_text_read(path, scratch) && rl_chart_text_is(scratch, text);
}

static void
kept_work(void *const data, const RlBackground *const background)
{
  RlChartKept *const kept    = (RlChartKept *)data;
  RlChartText *const scratch = (RlChartText *)malloc(sizeof(RlChartText));
  RlChartList        places  = {0};
  kept->kept                 = !strcmp(kept->text.text, rl_chart_default) ||
               (scratch && kept->file[0] && holds(kept->file, &kept->text, scratch));
  if (kept->presets[0]) {
    rl_chart_list_folder(&places, kept->presets);
  }
  for (int i = 0; scratch && !kept->kept && i < places.count; ++i) {
    if (!rl_background_wanted(background)) {
      break;
    }
    kept->kept =
      places.entry[i].kind == RL_ENTRY_UNREAD && holds(places.entry[i].path, &kept->text, scratch);
  }
  rl_chart_list_free(&places);
  free(scratch);
}

RlBackground *
rl_chart_kept_begin(RlChartKept *const kept)
{
  return rl_file_work_begin(kept_work, free, kept);
}
