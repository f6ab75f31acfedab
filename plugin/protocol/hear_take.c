/* SPDX-License-Identifier: ISC */
#include "plugin/protocol/hear_take.h"

enum { SLOWEST = 20, FASTEST = 400 /* quarter notes a minute */ };

static const char *const verbs[RL_HEAR_VERBS] = {[RL_HEAR_PLAY]   = "play:",
                                                 [RL_HEAR_RECORD] = "record:",
                                                 [RL_HEAR_BOTH]   = "both:",
                                                 [RL_HEAR_STOP]   = "stop:"};

static const char speed_word[] = "speed:", tempo_word[] = "tempo:";

static const struct {
  const char *name;
  double      factor;
} speeds[RL_SPEEDS] = {[RL_SPEED_FULL]           = {"1", 1},
                       [RL_SPEED_THREE_QUARTERS] = {"3/4", 0.75},
                       [RL_SPEED_HALF]           = {"1/2", 0.5}};

double
rl_speed_factor(const RlSpeed speed)
{
  return speeds[speed].factor;
}

const char *
rl_speed_name(const RlSpeed speed)
{
  return speeds[speed].name;
}

/* What follows the word, without spaces. */
static RlSlice
value_of(const RlSlice line, const char *const word)
{
  return rl_slice_trim(rl_slice_after(line, rl_slice(word).length));
}

static const char *
verb_read(const RlSlice line, RlHearTake *const take)
{
  int v = 0;
  while (v < RL_HEAR_VERBS && !rl_slice_begins(line, verbs[v])) {
    ++v;
  }
  if (v == RL_HEAR_VERBS) {
    return "write play:, record:, both: or stop:";
  }
  take->verb  = (RlHearVerb)v;
  take->title = value_of(line, verbs[v]);
  return NULL;
}

static const char *
speed_read(const RlSlice value, RlHearTake *const take)
{
  int s = 0;
  while (s < RL_SPEEDS && !rl_slice_is(value, speeds[s].name)) {
    ++s;
  }
  take->speed = (RlSpeed)s;
  return s < RL_SPEEDS ? NULL : "write speed: 1, 3/4 or 1/2";
}

static const char *
tempo_read(const RlSlice value, RlHearTake *const take)
{
  take->tempo = rl_slice_number(value);
  return take->tempo >= SLOWEST && take->tempo <= FASTEST
           ? NULL
           : "write tempo: and a whole number from 20 to 400";
}

static const char *
line_read(const RlSlice line, RlHearTake *const take)
{
  return take->line == 1                     ? verb_read(line, take)
         : rl_slice_begins(line, speed_word) ? speed_read(value_of(line, speed_word), take)
         : rl_slice_begins(line, tempo_word) ? tempo_read(value_of(line, tempo_word), take)
         : rl_slice_trim(line).length        ? "write speed:, tempo: or a tune that begins with X:"
                                             : NULL;
}

bool
rl_hear_take_read(const RlSlice text, RlHearTake *const take, const char **const why)
{
  RlSlice rest = text;
  *take        = (RlHearTake){.line = 1};
  *why         = NULL;
  do {
    const size_t length = rl_slice_until(rest, "\n");
    if (take->line > 1 && rl_slice_begins(rest, "X:")) {
      take->tune = rest;
      return true;
    }
    *why = line_read(rl_slice_trim((RlSlice){rest.at, length}), take);
    if (*why) {
      return false;
    }
    rest = rl_slice_after(rest, length < rest.length ? length + 1 : length);
    ++take->line;
  } while (rest.length);
  take->tune = rest;
  return true;
}

void
rl_hear_take_write(const RlHearTake *const take, RlText *const text)
{
  rl_text_add(text, verbs[take->verb]);
  rl_text_add(text, take->title.length ? " " : "");
  rl_text_add_slice(text, take->title);
  rl_text_add(text, "\n");
  if (take->speed != RL_SPEED_FULL) {
    rl_text_add(text, "speed: ");
    rl_text_add(text, speeds[take->speed].name);
    rl_text_add(text, "\n");
  }
  if (take->tempo) {
    rl_text_add(text, "tempo: ");
    rl_text_add_int(text, take->tempo);
    rl_text_add(text, "\n");
  }
  if (take->tune.length) {
    rl_text_add(text, "\n");
    rl_text_add_slice(text, take->tune);
  }
}
