/* SPDX-License-Identifier: ISC */
#include "plugin/protocol/lift_ask.h"

static const char *const verbs[RL_LIFT_ASKS] = {
  [RL_LIFT_ASK_BARS] = "bars:", [RL_LIFT_ASK_PICTURE] = "picture:"};

const char rl_lift_no_picture[] =
  "lift: that take has no picture; those lifted from the track last have one";

/* `3-6` or `3`. */
static bool
bars_read(const RlSlice words, RlLiftAsk *const ask)
{
  const size_t  to   = rl_slice_until(words, "-");
  const RlSlice last = to < words.length ? rl_slice_after(words, to + 1) : words;
  ask->first         = rl_slice_number(rl_slice_trim((RlSlice){words.at, to}));
  ask->last          = rl_slice_number(rl_slice_trim(last));
  return ask->first >= 1 && ask->last >= ask->first;
}

bool
rl_lift_ask_read(const RlSlice text, RlLiftAsk *const ask)
{
  const RlSlice line = rl_slice_trim(text);
  int           v    = 0;
  while (v < RL_LIFT_ASKS && !rl_slice_begins(line, verbs[v])) {
    ++v;
  }
  if (v == RL_LIFT_ASKS) {
    return false;
  }
  const RlSlice words = rl_slice_trim(rl_slice_after(line, rl_slice(verbs[v]).length));
  *ask                = (RlLiftAsk){.kind = (RlLiftAskKind)v, .title = words};
  return ask->kind == RL_LIFT_ASK_BARS ? bars_read(words, ask) : words.length > 0;
}

static void
begin(RlText *const text, const RlLiftAskKind kind)
{
  rl_text_add(text, verbs[kind]);
  rl_text_add(text, " ");
}

void
rl_lift_ask_bars(RlText *const text, const int first, const int last)
{
  begin(text, RL_LIFT_ASK_BARS);
  rl_text_add_int(text, first);
  if (last > first) {
    rl_text_add(text, "-");
    rl_text_add_int(text, last);
  }
}

void
rl_lift_ask_picture(RlText *const text, const char *const title)
{
  begin(text, RL_LIFT_ASK_PICTURE);
  rl_text_add(text, title);
}
