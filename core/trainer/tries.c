/* SPDX-License-Identifier: ISC */
#include "core/trainer/tries.h"

#include <assert.h>
#include <string.h>

void
rl_tries_add(RlTries *const tries, const int hole, const RlTechnique technique, const bool held)
{
  assert(hole >= 1 && hole <= RL_HOLES && technique >= 0 && technique < RL_TECHNIQUES);
  RlTriesOf *const of = &tries->note[hole - 1][technique];
  if (of->all < RL_TRIES_MOST) {
    ++of->all;
    of->held += held;
  }
}

void
rl_tries_sum(RlTries *const tries, const RlTries *const more)
{
  for (int i = 0; i < RL_HOLES * RL_TECHNIQUES; ++i) {
    RlTriesOf *const of  = &tries->note[i / RL_TECHNIQUES][i % RL_TECHNIQUES];
    const RlTriesOf  add = more->note[i / RL_TECHNIQUES][i % RL_TECHNIQUES];
    if (of->all + add.all <= RL_TRIES_MOST) {
      of->all += add.all;
      of->held += add.held;
    }
  }
}

/* ---- missed most ---- */

/* Is `a` missed more than `b`? Compared without a division. */
static bool
missed_more(const RlTriesOf a, const RlTriesOf b)
{
  return (int64_t)(a.all - a.held + 1) * (b.all + 2) > (int64_t)(b.all - b.held + 1) * (a.all + 2);
}

int
rl_tries_missed(const RlTries *const tries, const RlHarp *const harp, const RlPlayer player,
                RlTriedNote missed[RL_HOLES * RL_TECHNIQUES])
{
  int count = 0;
  for (int i = 0; i < RL_HOLES * RL_TECHNIQUES; ++i) {
    const RlTriedNote note = {(uint8_t)(i / RL_TECHNIQUES + 1), (uint8_t)(i % RL_TECHNIQUES)};
    const RlTriesOf   of   = tries->note[note.hole - 1][note.technique];
    if (note.technique <= RL_DRAW || !of.all || !harp->note[note.hole - 1][note.technique] ||
        !rl_player_can(player, (RlTechnique)note.technique)) {
      continue;
    }
    int at = count++;
    for (;
         at > 0 && missed_more(of, tries->note[missed[at - 1].hole - 1][missed[at - 1].technique]);
         --at) {
      missed[at] = missed[at - 1];
    }
    missed[at] = note;
  }
  return count;
}

/* ---- as text ---- */

static RlSlice
word_next(RlSlice *const line)
{
  *line              = rl_slice_trim(*line);
  const RlSlice word = {line->at, rl_slice_until(*line, " \t")};
  *line              = rl_slice_after(*line, word.length);
  return word;
}

static void
line_read(RlTries *const tries, RlSlice line)
{
  const int     hole = rl_slice_number(word_next(&line));
  const RlSlice how  = word_next(&line);
  const int     all  = rl_slice_number(word_next(&line));
  const int     held = rl_slice_number(word_next(&line));
  for (int t = 0; t < RL_TECHNIQUES; ++t) {
    if (hole >= 1 && hole <= RL_HOLES && held >= 0 && all >= held &&
        rl_slice_is(how, rl_technique_name((RlTechnique)t))) {
      tries->note[hole - 1][t] = (RlTriesOf){all, held};
    }
  }
}

void
rl_tries_read(RlTries *const tries, RlSlice text)
{
  memset(tries, 0, sizeof(*tries));
  while (text.length) {
    const size_t n = rl_slice_until(text, "\n");
    line_read(tries, (RlSlice){text.at, n});
    text = rl_slice_after(text, n + 1);
  }
}

void
rl_tries_write(const RlTries *const tries, RlText *const text)
{
  rl_text_add(text, "# hole, how, tries, held for a second within 20 cents\n");
  for (int i = 0; i < RL_HOLES * RL_TECHNIQUES; ++i) {
    const RlTriesOf of = tries->note[i / RL_TECHNIQUES][i % RL_TECHNIQUES];
    if (of.all) {
      rl_text_add_int(text, i / RL_TECHNIQUES + 1);
      rl_text_add(text, " ");
      rl_text_add(text, rl_technique_name((RlTechnique)(i % RL_TECHNIQUES)));
      rl_text_add(text, " ");
      rl_text_add_int(text, of.all);
      rl_text_add(text, " ");
      rl_text_add_int(text, of.held);
      rl_text_add(text, "\n");
    }
  }
}
