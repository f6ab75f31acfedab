/* SPDX-License-Identifier: ISC */
#include "plugin/rt/listening.h"

#include <math.h>

static const double song_slack = 0.02; /* seconds: a host that says so has located */

void
rl_listening_init(RlListening *const l, RlListenDesk *const desk, const double rate)
{
  l->desk     = desk;
  l->news.key = RL_KEY_NOT_HEARD;
  rl_taps_init(&l->taps, rate);
}

/* ---- lent by the worker ---- */

static void
forget(RlListening *const l)
{
  const RlNews none = {.key = l->news.key};
  l->news           = none;
  l->word           = RL_WORD_NONE;
  rl_taps_stop(&l->taps);
}

bool
rl_listening_tune(RlListening *const l, const bool wanted, const bool key_heard,
                  const bool freewheel)
{
  const bool changed = wanted != l->wanted;
  l->key_heard       = key_heard;
  l->freewheel       = freewheel;
  l->wanted          = wanted;
  if (!changed) {
    return false;
  }
  forget(l);
  rl_lend_desk_want(&l->desk->lend, wanted, l->hearing);
  l->hearing = wanted ? l->hearing : NULL;
  return true;
}

RlHearingState
rl_listening_state(const RlListening *const l)
{
  const bool cannot = atomic_load_explicit(&l->desk->cannot, memory_order_relaxed);
  return !l->wanted                                       ? RL_HEARING_OFF
         : cannot                                         ? RL_HEARING_CANNOT
         : !l->hearing || l->news.state == RL_HEARING_OFF ? RL_HEARING_WAITS
                                                          : l->news.state;
}

/* ---- news ---- */

static bool
says_more(const RlNews *const a, const RlNews *const b)
{
  return a->tuned != b->tuned || a->cents != b->cents || a->key != b->key ||
         a->key_sure != b->key_sure;
}

void
rl_listening_begin(RlListening *const l, RlFollower *const f)
{
  RlNews news;
  if (l->wanted && !l->hearing) {
    l->hearing = (RlHearing *)rl_lend_desk_take(&l->desk->lend);
  }
  while (l->hearing && rl_news_pop(l->hearing, &news)) {
    if (news.chart == f->snapshot->version[RL_CHART]) {
      rl_follower_heard(f, &news.report);
      l->changes += says_more(&news, &l->news);
      l->news = news;
    }
  }
  const RlHearingState state = rl_listening_state(l);
  l->changes += state != l->state;
  l->state = state;
}

/* ---- the host's transport ---- */

static int64_t
song_now(const RlFollower *const f)
{
  const RlClock *const c      = &f->clock;
  const double         passed = c->rolling ? (double)(c->now - c->said_at) * c->speed : 0;
  return c->frame_told ? llround(c->frame + passed) : RL_SONG_UNKNOWN;
}

/* The song is elsewhere, or starts: at a place heard before, or one that nobody knows. */
static void
song_moves(const RlListening *const l, RlFollower *const f, const bool elsewhere)
{
  RlFeltPlace   place;
  RlHeardReport report = {true, f->clock.rolling, f->clock.now, 0, 0, 0};
  if (rl_places_find(&l->hearing->places, f->rate, song_now(f), &place)) {
    report.felt  = place.felt;
    report.tempo = place.tempo;
    report.sure  = l->news.report.sure > 0 ? l->news.report.sure : 0.5F;
    rl_follower_heard_move(f, &report);
  } else if (elsewhere) {
    rl_follower_heard_move(f, NULL);
  }
}

void
rl_listening_report(RlListening *const l, RlFollower *const f, const RlReport *const report)
{
  l->transport_told = l->transport_told || (report->said & RL_SAID_SPEED);
  if (!l->hearing) {
    rl_follower_report(f, report);
    return;
  }
  const int64_t before = song_now(f);
  const bool    rolled = f->clock.rolling;
  rl_follower_report(f, report);
  const int64_t now   = song_now(f);
  const bool    known = before != RL_SONG_UNKNOWN && now != RL_SONG_UNKNOWN;
  const bool    jumps = known && fabs((double)(now - before)) > song_slack * f->rate;
  if (jumps || (known && f->clock.rolling && !rolled)) {
    song_moves(l, f, jumps);
  }
}

/* ---- the player ---- */

void
rl_listening_pedal(RlListening *const l, const RlPedal pedal)
{
  static const RlWord words[RL_PEDALS] = {[RL_PEDAL_BAR_ONE]     = RL_WORD_BAR_ONE,
                                          [RL_PEDAL_STOP]        = RL_WORD_FORGET,
                                          [RL_PEDAL_HALF_TIME]   = RL_WORD_HALF,
                                          [RL_PEDAL_DOUBLE_TIME] = RL_WORD_DOUBLE};
  if (pedal == RL_PEDAL_TAP) {
    rl_taps_tap(&l->taps);
    l->tempo = rl_taps_pulse(&l->taps, 0).tempo;
    l->word  = l->tempo > 0 ? RL_WORD_TEMPO : l->word;
  } else if (words[pedal]) {
    l->word = words[pedal];
  }
}

/* ---- sound ---- */

void
rl_listening_hear(RlListening *const l, const RlFollower *const f, const float *const left,
                  const float *const right, const uint32_t frames)
{
  const int8_t key =
    (int8_t)(l->key_heard ? (int)RL_SOUND_KEY_HEARD : rl_spelling_class(f->key.tonic));
  const RlSoundHead head = {.frame     = f->clock.now,
                            .song      = song_now(f),
                            .chart     = f->snapshot->version[RL_CHART],
                            .key       = key,
                            .rolling   = f->clock.rolling || !l->transport_told,
                            .freewheel = l->freewheel,
                            .word      = (uint8_t)l->word,
                            .tempo     = (float)l->tempo};
  if (rl_sound_ring_put(&l->hearing->sound, &head, left, right, frames)) {
    l->word = RL_WORD_NONE;
  }
}
