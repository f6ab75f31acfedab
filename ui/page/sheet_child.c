/* SPDX-License-Identifier: ISC */
#include "ui/page/sheet_child.h"

#include "ui/paper/documents.h"
#include "ui/paper/pdf.h"

#include <string.h>

/* All that a sheet is made of; too much for a stack. */
static struct {
  RlForm          form;
  RlPlan          plan;
  RlLane          lane;
  RlLaneWorkspace workspace;
} song;

/* As told with the harp; as the chart says as long as nothing is. */
static RlKey
key_of(const RlPageState *const h)
{
  RlKey told;
  if (h->told[RL_PAGE_STATE_HARP] && rl_key_read(rl_slice(h->song_key), &told)) {
    return rl_key_named(rl_spelling_class(told.tonic), told.minor);
  }
  return rl_key_named(rl_spelling_class(song.form.key.tonic), song.form.key.minor);
}

static void
plan_take(const RlPageState *const h, RlSheet *const sheet)
{
  RlPlanError error;
  if (!rl_plan_read((RlSlice){h->plan.text, h->plan.length}, &song.workspace.phrase, &song.plan,
                    &error) ||
      !song.plan.planned_count) {
    return;
  }
  rl_lane_make(&song.plan, &song.form, sheet->key, sheet->harp, sheet->player, &song.workspace,
               &song.lane);
  sheet->plan      = &song.plan;
  sheet->lane      = &song.lane;
  sheet->workspace = &song.workspace;
}

/* `Ferry Street Slow Drag, C harp.pdf` and a newline. */
static cairo_status_t
name_put(const RlSheet *const sheet, RlBytes *const to)
{
  char   name[RL_SHEET_JOBS_NAME];
  RlText text = rl_text_in(name, sizeof(name));
  rl_documents_name(sheet->form, true, &text);
  rl_text_add(&text, ", ");
  rl_key_write(rl_key_named(sheet->harp.key, false), &text);
  rl_text_add(&text, " harp.pdf\n");
  return rl_bytes_add(to, (const unsigned char *)name, (unsigned)text.used);
}

RlSheetJobEnd
rl_sheet_child(const RlPageState *const h, const RlSheetJobWish *const wish, const int to)
{
  RlChartError       error;
  RlBytes            pdf  = {NULL, 0, 0};
  RlTextCache *const type = rl_text_cache();
  if (!rl_chart_read((RlSlice){h->chart.text, h->chart.length}, &song.form, &error)) {
    return RL_SHEET_JOB_CHART;
  }
  RlSheet sheet = {.form   = &song.form,
                   .key    = key_of(h),
                   .harp   = wish->harp,
                   .player = wish->player,
                   .size   = wish->letter ? RL_PAPER_LETTER : RL_PAPER_A4};
  plan_take(h, &sheet);
  rl_sheet_fit(&sheet);
  return type && name_put(&sheet, &pdf) == CAIRO_STATUS_SUCCESS &&
             rl_sheet_pdf(&sheet, type, &pdf) == CAIRO_STATUS_SUCCESS && rl_bytes_write(to, &pdf)
           ? RL_SHEET_JOB_DONE
           : RL_SHEET_JOB_FAILED;
}
