/* SPDX-License-Identifier: ISC */
#include "core/ear/halves.h"

#include <math.h>
#include <string.h>

static const double fade_seconds = 20;
static const float  margin_least = 18,
                   margin_full   = 12;   /* nepers: speaks from then on, and fully so much later */
static const float  most_rate    = 3.0F; /* nepers a second that the halves lose */
static const double same_tempo = 0.06, same_grid = 0.15;

void
rl_halves_forget(RlHalves *const h)
{
  memset(h, 0, sizeof(*h));
}

static float
most_about(const RlHalves *const h, const int frame, const RlPulseWord word)
{
  return fmaxf(h->word[frame][word], fmaxf(h->word[frame - 1][word], h->word[frame + 1][word]));
}

/* What a frame says, if a beat or a half was shown in it. */
static float
frame_weigh(const RlHalves *const h, const int frame)
{
  const float was = h->place[frame - 1], is = h->place[frame];
  const float odds = most_about(h, frame, RL_PULSE_BEAT) - most_about(h, frame, RL_PULSE_HALF);
  return floorf(was) != floorf(is) ? odds : floorf(was + 0.5F) != floorf(is + 0.5F) ? -odds : 0;
}

/* Nothing is asked where no place has held. */
static void
net_ask(RlHalves *const h)
{
  const int from = h->told > h->known + 1 ? h->told : h->known + 1;
  const int to   = h->frames - RL_HALVES_LATE;
  if (from < to) {
    rl_pulse_read((const float(*)[RL_PULSE_BANDS])h->fine, h->frames, h->room, h->word);
  }
  h->margin *= (float)exp(-(double)RL_HALVES_EACH / RL_PULSE_FRAMES / fade_seconds);
  for (int t = from; t < to; ++t) {
    h->margin += frame_weigh(h, t);
  }
  h->told = to > h->told ? to : h->told;
}

static void
room_make(RlHalves *const h)
{
  const int by = RL_HALVES_EACH, left = h->frames - by;
  memmove(h->fine, h->fine + by, (size_t)left * sizeof(h->fine[0]));
  memmove(h->place, h->place + by, (size_t)left * sizeof(h->place[0]));
  h->frames = left;
  h->told   = h->told > by ? h->told - by : 0;
  h->known  = h->known > by ? h->known - by : 0;
}

void
rl_halves_step(RlHalves *const h, const float fine[RL_PULSE_BANDS], const double at)
{
  if (h->frames == RL_HALVES_FRAMES) {
    room_make(h);
  }
  memcpy(h->fine[h->frames], fine, sizeof(h->fine[0]));
  h->place[h->frames++] = (float)at;
  if (++h->since == RL_HALVES_EACH && h->frames > RL_HALVES_LATE) {
    net_ask(h);
  }
  h->since = h->since < RL_HALVES_EACH ? h->since : 0;
}

void
rl_halves_moved(RlHalves *const h, const double by, const double longer)
{
  const double halves = round(2 * by);
  const bool   other  = fabs(longer - 1) > same_tempo;
  if (halves == 0 && !other) {
    return;
  }
  if (other || fabs(by - halves / 2) > same_grid) {
    h->known  = h->frames;
    h->margin = 0;
    return;
  }
  for (int t = h->known; t < h->frames; ++t) {
    h->place[t] += (float)by;
  }
  h->margin = fmod(halves, 2) != 0 ? -h->margin : h->margin;
}

RlGrid
rl_halves_grid(const RlHalves *const h, const double at, const double period)
{
  const float  over = fminf(fmaxf((fabsf(h->margin) - margin_least) / margin_full, 0), 1);
  const double on   = at + (h->margin < 0 ? 0.5 : 0);
  return (RlGrid){on - floor(on), period, expf(-most_rate * over / RL_EAR_STEPS)};
}
