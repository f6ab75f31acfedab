/* SPDX-License-Identifier: ISC */
#include "ui/draw/trainer.h"

#include <math.h>
#include <stdlib.h>

const RlTry *
rl_trainer_try(const RlView *const v)
{
  const RlTrainer *const t = v->trainer.on;
  return t->now.seconds > 0 ? &t->now : t->count ? &t->last[0] : NULL;
}

bool
rl_trainer_tells_problem(const RlView *const v)
{
  return *v->problem && !rl_trainer_try(v);
}

int
rl_trainer_needle(const RlView *const v)
{
  return (int)lround(fmin(fmax(v->trainer.off, -999), 999));
}

/* One place behind the point. */
static void
tenths_add(RlText *const text, const double number)
{
  const long tenths = lround(number * 10);
  rl_text_add_int(text, tenths / 10);
  rl_text_add(text, ".");
  rl_text_add_int(text, tenths % 10);
}

static void
held_add(RlText *const text, const RlTry *const one, const RlNearness near, const char *const cents)
{
  tenths_add(text, (double)one->longest[near]);
  rl_text_add(text, " s within ");
  rl_text_add(text, cents);
  if (one->held[near] >= one->longest[near] + 0.1F) {
    rl_text_add(text, " (");
    tenths_add(text, (double)one->held[near]);
    rl_text_add(text, " in all)");
  }
}

static void
reached_add(RlText *const text, const RlTry *const one)
{
  static const char *const words[] = {
    [RL_REACHED_NOT]        = "Not on the band yet",
    [RL_REACHED_AT_ONCE]    = "There at once",
    [RL_REACHED_FROM_ABOVE] = "From above in ",
    [RL_REACHED_FROM_BELOW] = "From below in ",
  };
  const long mean = lroundf(one->mean);
  rl_text_add(text, words[one->reached]);
  if (one->reached > RL_REACHED_AT_ONCE) {
    tenths_add(text, (double)one->reached_in);
    rl_text_add(text, " s");
  }
  if (one->settled) {
    rl_text_add(text, "; in the mean ");
    rl_text_add(text, mean ? "" : "true");
    if (mean) {
      rl_text_add_int(text, labs(mean));
      rl_text_add(text, mean > 0 ? " high" : " low");
    }
    rl_text_add(text, ", spread ");
    rl_text_add_int(text, lroundf(one->spread));
  }
}

static void
vibrato_add(RlText *const text, const RlTry *const one)
{
  if (one->vibrato_seconds > 0) {
    rl_text_add(text, "Vibrato ");
    tenths_add(text, (double)one->vibrato.hz);
    rl_text_add(text, " a second, ");
    rl_text_add_int(text, lroundf(one->vibrato.cents));
    rl_text_add(text, " cents to each side");
  } else if (one->seconds > 1) {
    rl_text_add(text, "No vibrato");
  }
}

static bool
tried_ever(const RlTries *const tries)
{
  int all = 0;
  for (int i = 0; i < RL_HOLES * RL_TECHNIQUES; ++i) {
    all += tries->note[i / RL_TECHNIQUES][i % RL_TECHNIQUES].all;
  }
  return all > 0;
}

void
rl_trainer_words(const RlView *const v, char lines[RL_TRAINER_LINES][RL_TRAINER_LINE_SIZE])
{
  RlText             line[RL_TRAINER_LINES];
  const RlTry *const one = rl_trainer_try(v);
  for (int i = 0; i < RL_TRAINER_LINES; ++i) {
    line[i] = rl_text_in(lines[i], RL_TRAINER_LINE_SIZE);
  }
  if (one) {
    rl_text_add(&line[0], "Held ");
    held_add(&line[0], one, RL_ROUGH, "20");
    rl_text_add(&line[0], ", ");
    held_add(&line[0], one, RL_NEAR, "10 cents");
    reached_add(&line[1], one);
    vibrato_add(&line[2], one);
    return;
  }
  rl_text_add(&line[0], v->port[RL_PORT_HARP_FROM] > 0
                          ? "Play it, and hold the needle on the band."
                          : "Nobody listens: choose where your sound comes from under “hear me”.");
  if (!tried_ever(v->trainer.tries)) {
    rl_text_add(&line[1], "This is hard breathing: rest when you feel light-headed.");
    rl_text_add(&line[2], "Keep headphones and monitors moderate.");
  }
}
