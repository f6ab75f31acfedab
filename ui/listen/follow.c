/* SPDX-License-Identifier: ISC */
/* Twice through the recording: forward with the ear, which finds key, tempo and feel; then the best
   way through it all. */
#include "core/ear/ear.h"
#include "ui/listen/listen.h"
#include "ui/listen/way.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

enum {
  STEPS_EACH  = 50, /* a second */
  AGREE_STEPS = 15 * STEPS_EACH
};

static const double least_form = 0.4, least_agreed = 0.2, least_key = 0.03;
static const double near_tempo = 0.5; /* nepers a second; another is named */
static const double hop_late =
  1.2; /* a beat against the hop it is found in; measured on generator A */

/* The first pass, step by step. */
typedef struct {
  RlScore      score;
  RlEarReport *report; /* of each step */
  RlPathHop   *hop;    /* two of each step */
  float (*fine)[RL_PULSE_BANDS];
  int steps;
} Pass;

static void
progress_say(const double share)
{
  if (isatty(STDERR_FILENO)) {
    fprintf(stderr, share < 1 ? "\rlistening %3.0f %%" : "\r              \r", 100 * share);
  }
}

static void
step_keep(Pass *const p, const RlEar *const ear, const RlEarReport *const report)
{
  RlEarLook look;
  rl_ear_look(ear, &look);
  for (int i = 0; i < 2; ++i) {
    RlPathHop *const hop = &p->hop[2 * p->steps + i];
    hop->symbol          = look.symbol[i];
    memcpy(hop->chord, look.chord, sizeof(hop->chord));
    memcpy(hop->bass, look.bass, sizeof(hop->bass));
  }
  memcpy(p->fine[p->steps], look.fine, sizeof(look.fine));
  p->report[p->steps++] = *report;
}

static bool
pass_listen(const RlListenOptions *const w, const RlForm *const form, const RlRecording *const r,
            Pass *const p)
{
  const size_t bytes = rl_ear_bytes(form);
  const size_t most  = (size_t)((double)r->frames / r->rate * STEPS_EACH) + 2;
  void *const  room  = malloc(bytes);
  p->report          = calloc(most, sizeof(*p->report));
  p->hop             = malloc(2 * most * sizeof(*p->hop));
  p->fine            = malloc(most * sizeof(*p->fine));
  if (!room || !p->report || !p->hop || !p->fine) {
    free(room);
    return false;
  }
  RlEar *const ear = rl_ear_init(
    room, form, w->has_key ? rl_spelling_class(w->key.tonic) : RL_EAR_KEY_UNKNOWN, r->rate);
  if (w->tempo > 0) {
    rl_ear_tap(ear, w->tempo);
  }
  for (uint64_t at = 0; at < r->frames;) {
    RlEarReport    report;
    const uint64_t left = r->frames - at;
    at += rl_ear_hear(ear, r->samples + at, left < 65536 ? (uint32_t)left : 65536, &report);
    if (report.fresh && (size_t)p->steps < most) {
      step_keep(p, ear, &report);
      if (p->steps % STEPS_EACH == 0) {
        progress_say(0.99 * (double)at / (double)r->frames);
      }
    }
  }
  free(room);
  return true;
}

/* What the net for beats and halves says of each hop, after a step at least; false if memory is
   wanting. */
static bool
pulse_read(const Pass *const p)
{
  const size_t steps           = (size_t)p->steps;
  float(*word)[RL_PULSE_WORDS] = malloc(steps * sizeof(*word));
  void *const room             = malloc(steps * RL_PULSE_ROOM * sizeof(float));
  if (word && room) {
    rl_pulse_read((const float(*)[RL_PULSE_BANDS])p->fine, p->steps, room, word);
    for (int i = 0; i < 2 * p->steps; ++i) {
      const int step = (int)((i + hop_late) / 2);
      memcpy(p->hop[i].pulse, word[step < p->steps ? step : p->steps - 1], sizeof(*word));
    }
  }
  free(room);
  const bool good = word && room;
  free(word);
  return good;
}

/* Is the report worth counting? */
static bool
report_good(const RlEarReport *const report)
{
  // NOLINTNEXTLINE(clang-analyzer-core.UndefinedBinaryOperatorResult): `steps` of them are set
  return report->mass > 0.8 && report->held > 4;
}

/* Keys that the first pass held for likely, best first. */
static void
keys_guess(const Pass *const p, RlWayGuess *const g)
{
  double sum[12] = {0}, all = 0;
  for (int i = 0; i < p->steps; ++i) {
    sum[p->report[i].key] += p->report[i].key_sure;
  }
  sum[p->report[p->steps - 1].key] += p->steps; /* it has heard it all */
  for (int k = 0; k < 12; ++k) {
    all += sum[k];
  }
  for (g->keys = 0; g->keys < RL_WAY_KEYS; ++g->keys) {
    int best = 0;
    for (int k = 1; k < 12; ++k) {
      best = sum[k] > sum[best] ? k : best;
    }
    if (sum[best] <= least_key * all) {
      break;
    }
    g->key[g->keys] = best;
    sum[best]       = 0;
  }
}

/* The tempo that good reports have in their middle; 0: there are none. */
static double
tempo_guess(const Pass *const p)
{
  double *const tempi = malloc((size_t)p->steps * sizeof(double) + 1);
  int           count = 0;
  for (int i = 0; tempi && i < p->steps; ++i) {
    if (report_good(&p->report[i])) {
      tempi[count++] = p->report[i].tempo;
    }
  }
  const double middle = rl_way_middle(tempi, count);
  free(tempi);
  return middle;
}

/* How far the first pass agrees with a beat: the mean of how likely it held the place, over the 15
   s before or those after, whichever agree more. */
static double
agreement(const Pass *const p, const double *const agreed, const int step)
{
  const int    before = step > AGREE_STEPS ? step - AGREE_STEPS : 0;
  const int    after  = step + AGREE_STEPS < p->steps ? step + AGREE_STEPS : p->steps;
  const double back   = step > before ? (agreed[step] - agreed[before]) / (step - before) : 0;
  const double on     = after > step ? (agreed[after] - agreed[step]) / (after - step) : 0;
  return fmin(fmax(back, on), 1);
}

/* Sums, step by step, of how likely the first pass held its place where that is on the way found.
 */
static void
agreed_sum(const Pass *const p, const RlPathBeat *const beats, const int count,
           double *const agreed)
{
  int at    = -1;
  agreed[0] = 0;
  for (int i = 0; i < p->steps; ++i) {
    const double hop = 2 * i + 2;
    while (at + 1 < count && beats[at + 1].hop <= hop) {
      ++at;
    }
    double agrees = 0;
    if (at >= 0 && at + 1 < count) {
      const double within = (hop - beats[at].hop) / fmax(beats[at + 1].hop - beats[at].hop, 1);
      const double off    = p->report[i].at - beats[at].beat - within;
      const double error  = off - p->score.beats * floor(off / p->score.beats + 0.5);
      agrees              = fabs(error) < 0.5 ? p->report[i].likely : 0;
    }
    agreed[i + 1] = agreed[i] + agrees;
  }
}

static double
hop_seconds(const double hop)
{
  return (hop + hop_late) / RL_PATH_HOPS;
}

/* Names the beats; returns how far the first pass agrees where it does so most. */
static double
beats_name(const Pass *const p, const RlPathBeat *const beats, const int count,
           const double *const agreed, RlFound *const found)
{
  int    chorus = 1;
  double most   = 0;
  for (int i = 0; i < count; ++i) {
    const RlScoreBeat *const beat   = &p->score.beat[beats[i].beat];
    const int                step   = (int)(beats[i].hop / 2);
    const double             agrees = agreement(p, agreed, step < p->steps ? step : p->steps);
    chorus += i > 0 && beats[i].beat <= beats[i - 1].beat;
    most = fmax(most, agrees);
    found->beat[i] =
      (RlFoundBeat){hop_seconds(beats[i].hop), chorus, beat->bar + 1, beat->in_bar + 1, agrees};
  }
  return most;
}

/* How far it is to be trusted, and what else may be right. A beat with which the first pass does
   not agree is trusted half as far. */
static void
doubts_find(const RlWay *const way, const double agrees, RlFound *const found)
{
  rl_trust_signs(way, agrees, found->sign);
  found->ahead        = way->place.ahead;
  found->trust        = rl_trust(found->sign, found->ahead);
  found->other_tempo  = way->steady < near_tempo ? way->other : 0;
  found->other_halves = way->place.halves;
  found->other_at     = NAN;
  for (int i = way->beats - 1; i >= 0; --i) {
    found->beat[i].sure = found->trust.form * found->trust.place * (1 + found->beat[i].sure) / 2;
    if (way->beat[i].beat == 0) {
      found->other_at =
        hop_seconds(way->beat[i].hop + way->place.halves * 30 * RL_PATH_HOPS / way->tempo);
    }
  }
}

/* Where between two beats something begins most often, but on them: 0.5 when straight. */
static double
swing_find(const Pass *const p, const RlWay *const way)
{
  enum { BINS = 48 };
  double hits[BINS] = {0}, most = 0;
  int    best = 0;
  for (int i = 0; i + 1 < way->beats; ++i) {
    const RlPathBeat *const beat = &way->beat[i];
    const int               from = (int)(beat->hop + hop_late), to = (int)(beat[1].hop + hop_late);
    for (int h = from > 0 ? from : 0; h < to && !beat[1].entered && h < 2 * p->steps; ++h) {
      const int symbol = p->hop[h].symbol, level = (symbol >> 2 & 3) + (symbol & 3);
      hits[BINS * (h - from) / (to - from)] += level > 3 ? level : 0;
    }
  }
  for (int b = BINS * 5 / 12; b <= BINS * 3 / 4; ++b) {
    const double here = hits[b - 1] + hits[b] + hits[b + 1];
    best              = here > most ? b : best;
    most              = here > most ? here : most;
  }
  return best ? (best + 0.5) / BINS : 0;
}

static RlListenEnd
not_found(const char *const way_out)
{
  char why[128];
  snprintf(why, sizeof(why), "the form was not found in it; is it this song, in this --key?%s",
           way_out);
  return rl_listen_complain(RL_LISTEN_INPUT, NULL, why);
}

static RlListenEnd
way_take(const RlListenOptions *const w, const Pass *const p, const RlWay *const way,
         RlFound *const found)
{
  double *const agreed = malloc(((size_t)p->steps + 1) * sizeof(double));
  found->beat          = malloc(((size_t)way->beats + 1) * sizeof(*found->beat));
  if (!agreed || !found->beat) {
    free(agreed);
    return rl_listen_complain(RL_LISTEN_INPUT, NULL, "not enough memory for so long a recording");
  }
  found->beats = way->beats;
  agreed_sum(p, way->beat, way->beats, agreed);
  doubts_find(way, beats_name(p, way->beat, way->beats, agreed, found), found);
  found->swing = swing_find(p, way);
  free(agreed);
  if (way->beats == 0) {
    return not_found("");
  }
  return w->anyway || found->trust.form >= (found->trust.agrees ? least_agreed : least_form)
           ? RL_LISTEN_DONE
           : not_found(" --anyway writes what fits best");
}

static RlListenEnd
way_find(const RlListenOptions *const w, const Pass *const p, RlFound *const found)
{
  const RlEarReport *const last  = &p->report[p->steps - 1];
  RlWayGuess               guess = {.tempo = tempo_guess(p)};
  RlWay                    way;
  keys_guess(p, &guess);
  if (w->tempo > 0) {
    guess.tempo = w->tempo;
    guess.told  = true;
  }
  if (w->has_at) {
    guess.at = (RlWayTold){true, w->at * RL_PATH_HOPS - hop_late};
  }
  const bool  good = rl_way_find(&p->score, p->hop, 2 * p->steps, &guess, &way);
  RlListenEnd end =
    good ? way_take(w, p, &way, found)
         : rl_listen_complain(RL_LISTEN_INPUT, NULL, "not enough memory for so long a recording");
  found->key      = way.key;
  found->key_sure = way.key == last->key ? last->key_sure : 1 - last->key_sure;
  found->tempo    = way.tempo;
  found->cents    = last->cents;
  free(way.beat);
  return end;
}

RlListenEnd
rl_listen_follow(const RlListenOptions *const w, const RlForm *const form,
                 const RlRecording *const r, RlFound *const found)
{
  Pass        p   = {0};
  RlListenEnd end = RL_LISTEN_DONE;
  if (!rl_ear_bytes(form) || !rl_score_read(form, &p.score)) {
    return rl_listen_complain(RL_LISTEN_INPUT, w->chart,
                              "a form of over 640 felt beats or 64 chords, or of meters whose felt "
                              "beats differ, cannot be followed");
  }
  if (!pass_listen(w, form, r, &p) || (p.steps && !pulse_read(&p))) {
    end =
      rl_listen_complain(RL_LISTEN_INPUT, w->sound, "not enough memory for so long a recording");
  } else if (!p.steps) {
    end = not_found("");
  } else {
    end = way_find(w, &p, found);
  }
  progress_say(1);
  free(p.report);
  free(p.hop);
  free(p.fine);
  return end;
}
