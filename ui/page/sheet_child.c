/* SPDX-License-Identifier: ISC */
#include "ui/page/sheet_child.h"

#include "ui/paper/compose.h"
#include "ui/paper/documents.h"
#include "ui/paper/pdf.h"

#include <string.h>

/* All that a sheet is made of; too large for the stack. */
static struct {
  RlForm          form;
  RlPlan          plan;
  RlLane          lane;
  RlLaneWorkspace workspace;
  RlTargetLine    line;

  RlTargetLineWorkspace scratch;
} song;

/* The key the plugin sends along with the harp; the chart's until it has sent one. */
static RlKey
key_of(const RlPageState *const state)
{
  RlKey sent;
  if (state->known[RL_PAGE_STATE_HARP] && rl_key_read(rl_slice(state->song_key), &sent)) {
    return rl_form_key(&song.form, rl_spelling_class(sent.tonic));
  }
  return song.form.key;
}

static void
plan_add(const RlPageState *const state, RlSheet *const sheet)
{
  RlPlanError error;
  if (!rl_plan_read((RlSlice){state->plan.text, state->plan.length}, &song.workspace.phrase,
                    &song.plan, &error) ||
      !song.plan.planned_count) {
    return;
  }
  rl_lane_make(&song.plan, &song.form, sheet->key, sheet->harp, sheet->player, &song.workspace,
               &song.lane);
  sheet->plan      = &song.plan;
  sheet->lane      = &song.lane;
  sheet->workspace = &song.workspace;
}

/* Appends `Ferry Street Slow Drag, C harp.pdf` and a newline. */
static cairo_status_t
name_write(const RlSheet *const sheet, RlBytes *const to)
{
  char   name[RL_SHEET_JOBS_NAME_SIZE];
  RlText text = rl_text_in(name, sizeof(name));
  rl_documents_name(sheet->form, true, &text);
  rl_text_add(&text, ", ");
  rl_key_write(rl_key_named(sheet->harp.key, false), &text);
  rl_text_add(&text, " harp.pdf\n");
  return rl_bytes_add(to, (const unsigned char *)name, (unsigned)text.used);
}

RlSheetJobResult
rl_sheet_child(const RlPageState *const state, const RlSheetRequest *const request, const int to)
{
  RlChartError       error;
  RlBytes            pdf  = {NULL, 0, 0};
  RlTextCache *const type = rl_text_cache();
  if (!rl_chart_read((RlSlice){state->chart.text, state->chart.length}, &song.form, &error)) {
    return RL_SHEET_JOB_NO_CHART;
  }
  RlSheet sheet = {.form   = &song.form,
                   .key    = key_of(state),
                   .harp   = request->harp,
                   .player = request->player,
                   .show   = (RlShow)state->show,
                   .size   = request->letter ? RL_PAPER_LETTER : RL_PAPER_A4};
  plan_add(state, &sheet);
  rl_sheet_aim(&sheet, &song.scratch, &song.line);
  rl_sheet_fit(&sheet);
  return type && name_write(&sheet, &pdf) == CAIRO_STATUS_SUCCESS &&
             rl_sheet_pdf(&sheet, type, &pdf) == CAIRO_STATUS_SUCCESS && rl_bytes_write(to, &pdf)
           ? RL_SHEET_JOB_DONE
           : RL_SHEET_JOB_FAILED;
}
