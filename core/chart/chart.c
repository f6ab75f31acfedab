/* SPDX-License-Identifier: ISC */
#include "core/chart/chart.h"

#include "core/chart/reader.h"

#include <assert.h>
#include <string.h>

static bool
header_line(RlChartReader *const r, const RlSlice line)
{
  const size_t n = rl_chart_header_name(line);
  return !n || rl_chart_reader_header(r, (RlSlice){line.at, n},
                                      rl_chart_trim(rl_slice_after(line, n + 1)));
}

static bool
grid_line(RlChartReader *const r, const RlSlice line)
{
  r->bar_begun = false;
  return rl_chart_header_name(line) || rl_chart_reader_bars(r, line);
}

/* Calls `read` for each line that is neither empty nor a comment; stops where it fails. */
static bool
each_line(RlChartReader *const r, bool (*const read)(RlChartReader *, RlSlice))
{
  RlSlice rest = {r->form->text, r->form->text_length};
  r->line      = 0;
  do {
    const RlSlice line = rl_chart_line_next(&rest);
    ++r->line;
    if (line.length && line.at[0] != '#' && !read(r, line)) {
      return false;
    }
  } while (rest.length);
  return true;
}

static bool
text_keep(RlChartReader *const r, const RlSlice text)
{
  if (text.length > RL_CHART_MAX) {
    return rl_chart_reader_fail(
      r, "the chart is longer than 16384 bytes; leave out comments or write repeats");
  }
  const ptrdiff_t bad = rl_slice_bad_byte(text);
  for (ptrdiff_t i = 0; i < bad; ++i) {
    r->line += text.at[i] == '\n';
  }
  if (bad >= 0) {
    return rl_chart_reader_fail(r,
                                "this line holds a byte that is not text; save the chart as UTF-8");
  }
  const size_t mark = rl_slice_begins(text, "\xEF\xBB\xBF") ? 3 : 0;
  memcpy(r->form->text, text.at + mark, text.length - mark);
  r->form->text_length = (uint16_t)(text.length - mark);
  return true;
}

static bool
lead_in_fits(RlChartReader *const r)
{
  const RlForm *const f = r->form;
  if (!f->lead_in_from || f->lead_in_from + f->lead_in - 1 <= f->bars) {
    return true;
  }
  r->line = r->lead_in_line;
  return rl_chart_reader_fail(
    r, "the lead-in runs past the last bar of the form; begin it earlier or make it shorter");
}

/* After the last bar: stores the ending behind the chorus and checks what spans the whole chart. */
static bool
form_close(RlChartReader *const r)
{
  RlForm *const f = r->form;
  if (!rl_chart_reader_bar_close(r) || !rl_chart_reader_strain_done(r, r->strain)) {
    return false;
  }
  r->bar = 0;
  if (!r->chorus.count) {
    return rl_chart_reader_fail(r,
                                "there are no bars; write chords between bar lines: | I7 | IV7 |");
  }
  f->rules       = (uint8_t)r->rules;
  f->bars        = (uint16_t)r->chorus.count;
  f->ending_bars = (uint16_t)r->ending.count;
  memcpy(f->bar + f->bars, r->ending_bar, sizeof(RlBar) * f->ending_bars);
  if (!lead_in_fits(r)) {
    return false;
  }
  rl_form_finish(f);
  return true;
}

/* `rules`: where the chart does not say. */
static bool
read_under(const int rules, const RlSlice text, RlForm *const form, RlChartError *const error)
{
  assert(form && error && (text.at || !text.length));
  RlChartReader r = {.form = form, .error = error, .line = 1, .rules = rules};
  memset(form, 0, sizeof(*form));
  memset(error, 0, sizeof(*error));
  form->key         = rl_key_named(7, false);
  form->meter_beats = form->meter_unit = 4;
  r.chorus                             = rl_strain_in(form->bar);
  r.ending                             = rl_strain_in(r.ending_bar);
  r.strain                             = &r.chorus;
  if (!text_keep(&r, text) || !each_line(&r, header_line)) {
    return false;
  }
  r.beats = form->meter_beats;
  r.unit  = form->meter_unit;
  return each_line(&r, grid_line) && form_close(&r);
}

bool
rl_chart_read(const RlSlice text, RlForm *const form, RlChartError *const error)
{
  return read_under(RL_CHART_RULES, text, form, error);
}

RlSlice
rl_chart_header(const RlForm *const form, const char *const name)
{
  RlSlice rest = {form->text, form->text_length};
  while (rest.length) {
    const RlSlice line = rl_chart_line_next(&rest);
    const size_t  n    = rl_chart_header_name(line);
    if (n && rl_chart_same_word((RlSlice){line.at, n}, name)) {
      return rl_chart_trim(rl_slice_after(line, n + 1));
    }
  }
  return (RlSlice){form->text, 0};
}

/* ---- charts of older rules ---- */

static bool
bar_same(const RlForm *const a, const RlBar *const x, const RlForm *const b, const RlBar *const y)
{
  bool same = x->chords == y->chords && x->beats == y->beats && x->unit == y->unit;
  for (int i = 0; same && i < x->chords; ++i) {
    const RlFormChord *const one   = &a->chord[x->first_chord + i];
    const RlFormChord *const other = &b->chord[y->first_chord + i];
    same = one->beat == other->beat && rl_chord_same(one->chord, other->chord);
  }
  return same;
}

static bool
form_same(const RlForm *const a, const RlForm *const b)
{
  bool same = a->bars == b->bars && a->ending_bars == b->ending_bars;
  for (int i = 0; same && i < a->bars + a->ending_bars; ++i) {
    same = bar_same(a, &a->bar[i], b, &b->bar[i]);
  }
  return same;
}

bool
rl_chart_of_rules_1(const RlSlice text, RlForm scratch[2], RlText *const chart)
{
  RlChartError error;
  const bool   then   = read_under(1, text, &scratch[0], &error);
  const bool   now    = rl_chart_read(text, &scratch[1], &error);
  const bool   same   = !then || (now && form_same(&scratch[0], &scratch[1]));
  const char  *mark   = same ? "" : "chart-rules: 1\n";
  const size_t bom    = !same && rl_slice_begins(text, "\xEF\xBB\xBF") ? 3 : 0;
  const size_t length = rl_slice(mark).length + text.length - bom;
  *chart              = rl_text_in(chart->to, chart->size);
  rl_text_add(chart, mark);
  rl_text_add_slice(chart, rl_slice_after(text, bom));
  return chart->used == length && (same || length <= RL_CHART_MAX);
}
