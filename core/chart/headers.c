/* SPDX-License-Identifier: ISC */
#include "core/chart/reader.h"

enum { RL_KEY_WORDS_SIZE = 32 }; /* F# minor, its sign in three bytes, and more */

static bool
title_header(RlChartReader *const r, const RlSlice value)
{
  r->form->title = rl_chart_span(r->form, value);
  return true;
}

static bool
feel_header(RlChartReader *const r, const RlSlice value)
{
  r->form->feel = rl_chart_span(r->form, value);
  return true;
}

static bool
key_header(RlChartReader *const r, const RlSlice value)
{
  const size_t  n    = rl_chart_word(value);
  const RlSlice mode = rl_chart_trim(rl_slice_after(value, n));
  char          buffer[RL_KEY_WORDS_SIZE];
  RlText        text = rl_text_in(buffer, sizeof(buffer));
  rl_text_add_slice(&text, (RlSlice){value.at, n});
  rl_text_add(&text, mode.length ? " " : "");
  rl_text_add_slice(&text, mode);
  const bool whole = text.used == n + (mode.length ? 1 : 0) + mode.length;
  r->form->has_key = whole && rl_key_read(rl_slice(buffer), &r->form->key);
  return r->form->has_key || rl_chart_reader_fail_with(
                               r, "no such key \"", value,
                               "\"; write a letter A to G, # or b, and m for minor: G, Bb, F#m");
}

static bool
meter_header(RlChartReader *const r, const RlSlice value)
{
  int beats = 0;
  int unit  = 0;
  if (!rl_chart_meter(value, &beats, &unit)) {
    return rl_chart_reader_fail_with(r, "no such meter \"", value,
                                     "\"; write 1 to 32 over 1, 2, 4, 8, 16 or 32: 4/4, 12/8");
  }
  r->form->meter_beats = (uint8_t)beats;
  r->form->meter_unit  = (uint8_t)unit;
  return true;
}

static bool
tempo_header(RlChartReader *const r, const RlSlice value)
{
  const size_t  point    = rl_slice_until(value, ".");
  const RlSlice decimals = rl_slice_after(value, point + 1);
  const int     whole    = rl_slice_number((RlSlice){value.at, point});
  const int     part     = point < value.length ? rl_slice_number(decimals) : 0;
  double        scale    = 1;
  for (size_t i = 0; i < decimals.length; ++i) {
    scale *= 10;
  }
  r->form->tempo = whole + part / scale;
  return (whole >= 0 && part >= 0 && r->form->tempo >= 20 && r->form->tempo <= 400) ||
         rl_chart_reader_fail_with(r, "no such tempo \"", value,
                                   "\"; write felt beats a minute, 20 to 400: 72");
}

static bool
lead_in_header(RlChartReader *const r, const RlSlice value)
{
  const size_t  n     = rl_chart_word(value);
  const int     bars  = rl_slice_number((RlSlice){value.at, n});
  const RlSlice rest  = rl_chart_trim(rl_slice_after(value, n));
  const size_t  word  = rl_chart_word(rest);
  const bool    from  = rl_slice_is((RlSlice){rest.at, word}, "from");
  const int     first = from ? rl_slice_number(rl_chart_trim(rl_slice_after(rest, word))) : 0;
  if (bars < 0 || bars > RL_BARS_MAX || first < 0 || (from && first < 1) ||
      (!from && rest.length)) {
    return rl_chart_reader_fail_with(r, "no such lead-in \"", value,
                                     "\"; write how many bars and, if they have chords, the bar of "
                                     "the form they start from: 2, or 4 from 9");
  }
  r->lead_in_line       = r->line;
  r->form->lead_in      = (uint16_t)bars;
  r->form->lead_in_from = (uint16_t)(first <= RL_BARS_MAX ? first : RL_BARS_MAX + 1);
  return true;
}

static bool
choruses_header(RlChartReader *const r, const RlSlice value)
{
  const int n = rl_slice_number(value);
  if (n < 1 || n > 9999) {
    return rl_chart_reader_fail_with(r, "no such number of choruses \"", value,
                                     "\"; write 1 to 9999");
  }
  r->form->choruses = (uint16_t)n;
  return true;
}

static bool
rules_header(RlChartReader *const r, const RlSlice value)
{
  r->rules = rl_slice_number(value);
  return (r->rules >= 1 && r->rules <= RL_CHART_RULES) ||
         rl_chart_reader_fail_with(r, "no such rules \"", value,
                                   "\"; write 1 or 2, or leave the line out for the newest");
}

static const struct {
  const char *name;
  bool (*read)(RlChartReader *, RlSlice);
} headers[] = {
  {"title", title_header},       {"key", key_header},           {"meter", meter_header},
  {"tempo", tempo_header},       {"feel", feel_header},         {"lead-in", lead_in_header},
  {"choruses", choruses_header}, {"chart-rules", rules_header},
};

bool
rl_chart_reader_header(RlChartReader *const r, const RlSlice name, const RlSlice value)
{
  for (size_t i = 0; i < sizeof(headers) / sizeof(headers[0]); ++i) {
    if (!rl_chart_same_word(name, headers[i].name)) {
      continue;
    }
    if (r->seen & (1U << i)) {
      return rl_chart_reader_fail_with(r, "", name, ": appears twice; keep one of the two");
    }
    r->seen |= 1U << i;
    return headers[i].read(r, value);
  }
  if (rl_slice_until(value, "|") < value.length) {
    return rl_chart_reader_fail_with(r, "bars after \"", name,
                                     ":\", which is not a header; name a section in brackets: [A]");
  }
  return true; /* unknown: kept with the text */
}
