/* SPDX-License-Identifier: ISC */
/* Twice through the recording: forward with the ear, which finds key, tempo and feel; then the best
   way through it all. */
#include "core/ear/ear.h"
#include "core/ear/path.h"
#include "ui/listen/listen.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

enum {
  STEPS_EACH  = 50, /* a second */
  STRETCH_MAX = 60, /* different lengths of a beat */
  AGREE_STEPS = 15 * STEPS_EACH
};

static const double tempo_slack = 0.06, least_sure = 0.25;
static const float  lean_cost = 5; /* nepers that chords off the beat must be worth */
static const double hop_late =
  1.2; /* a beat against the hop it is found in; measured on generator A */

/* The first pass, step by step. */
typedef struct {
  RlScore      score;
  RlEarReport *report; /* of each step */
  RlPathHop   *hop;    /* two of each step */
  int          steps;
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
  }
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
  if (!room || !p->report || !p->hop) {
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

/* Is the report worth counting? */
static bool
report_good(const RlEarReport *const report)
{
  // NOLINTNEXTLINE(clang-analyzer-core.UndefinedBinaryOperatorResult): `steps` of them are set
  return report->mass > 0.8 && report->held > 4;
}

static int
number_order(const void *const a, const void *const b)
{
  const double x = *(const double *)a, y = *(const double *)b;
  return (x > y) - (x < y);
}

/* The range of tempi, from those of good reports. */
static double
tempi_fill(RlPathSearch *const s, double *const tempi, const int count)
{
  qsort(tempi, (size_t)count, sizeof(double), number_order);
  const double slow = tempi[count / 20], fast = tempi[count - 1 - count / 20];
  const double middle = tempi[count / 2];
  s->shortest         = (int)(6000 / fast * (1 - tempo_slack));
  s->longest          = (int)ceil(6000 / slow * (1 + tempo_slack));
  if (s->longest - s->shortest >= STRETCH_MAX) { /* it was not at one: about the middle */
    s->shortest = (int)(6000 / middle * 0.9);
    s->longest  = (int)(6000 / middle * 1.1);
  }
  return middle;
}

/* What the good reports agree on: tempi and feel; the longer a place has held, the more. False if
   there are none. */
static bool
search_fill(const Pass *const p, RlPathSearch *const s, double *const middle)
{
  double *const tempi               = malloc((size_t)p->steps * sizeof(double) + 1);
  double        feels[RL_EAR_FEELS] = {0};
  int           count               = 0;
  for (int i = 0; tempi && i < p->steps; ++i) {
    const RlEarReport *const report = &p->report[i];
    if (report_good(report)) {
      tempi[count++] = report->tempo;
      feels[report->feel] += report->held;
    }
  }
  if (count) {
    *middle = tempi_fill(s, tempi, count);
    for (int f = 1; f < RL_EAR_FEELS; ++f) {
      s->feel = feels[f] > feels[s->feel] ? f : s->feel;
    }
  }
  free(tempi);
  return count > 0;
}

/* How far the first pass agrees with a beat: the mean of how likely it held the place, over the
   15 s
   before or those after, whichever agree more. */
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

static void
beats_name(const Pass *const p, const RlPathBeat *const beats, const int count,
           const double *const agreed, RlFound *const found)
{
  int chorus = 1;
  for (int i = 0; i < count; ++i) {
    const RlScoreBeat *const beat = &p->score.beat[beats[i].beat];
    const int                step = (int)(beats[i].hop / 2);
    chorus += i > 0 && beats[i].beat <= beats[i - 1].beat;
    found->beat[i] =
      (RlFoundBeat){(beats[i].hop + hop_late) / RL_PATH_HOPS, chorus, beat->bar + 1,
                    beat->in_bar + 1, agreement(p, agreed, step < p->steps ? step : p->steps)};
    found->sure = fmax(found->sure, found->beat[i].sure);
  }
}

/* Where between two beats something begins most often, but on them: 0.5 when straight. */
static double
swing_find(const RlPathSearch *const s, const RlPathBeat *const beats, const int count)
{
  enum { BINS = 48 };
  double hits[BINS] = {0}, most = 0;
  int    best = 0;
  for (int i = 0; i + 1 < count; ++i) {
    const int from = (int)(beats[i].hop + hop_late), to = (int)(beats[i + 1].hop + hop_late);
    for (int h = from; h < to && to - from <= s->longest + 2 && h < s->hops; ++h) {
      const int symbol = s->hop[h].symbol, level = (symbol >> 2 & 3) + (symbol & 3);
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

/* The best way, with the chords on the beats, ahead of them or behind. */
static int
way_best(RlPathSearch *const s, void *const memory, RlPathBeat *const beats, const int room)
{
  float most = 0;
  int   best = RL_LEAN_ON;
  for (s->lean = 0; s->lean < RL_EAR_LEANS; ++s->lean) {
    float worth;
    rl_path_find(s, memory, beats, room, &worth);
    worth -= s->lean == RL_LEAN_ON ? 0 : lean_cost;
    best = s->lean == RL_LEAN_ON || worth > most ? s->lean : best;
    most = s->lean == best ? worth : most;
  }
  s->lean = best;
  return rl_path_find(s, memory, beats, room, &most);
}

static RlListenEnd
way_find(const Pass *const p, RlPathSearch *const s, RlFound *const found)
{
  const int         room   = 2 * (s->hops / s->shortest + 2);
  RlPathBeat *const beats  = malloc((size_t)room * sizeof(*beats));
  double *const     agreed = malloc(((size_t)p->steps + 1) * sizeof(double));
  void *const       memory = malloc(rl_path_bytes(s));
  RlListenEnd       end    = RL_LISTEN_DONE;
  found->beat              = malloc((size_t)room * sizeof(*found->beat));
  if (!beats || !agreed || !memory || !found->beat) {
    end = rl_listen_complain(RL_LISTEN_INPUT, NULL, "not enough memory for so long a recording");
  } else {
    found->beats = way_best(s, memory, beats, room);
    agreed_sum(p, beats, found->beats, agreed);
    beats_name(p, beats, found->beats, agreed, found);
    if (found->sure < least_sure) {
      end = rl_listen_complain(RL_LISTEN_INPUT, NULL,
                               "the form was not found in it; is it this song, in this --key?");
    }
    found->swing = swing_find(s, beats, found->beats);
  }
  free(beats);
  free(agreed);
  free(memory);
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
  RlPathSearch search = {.score = &p.score};
  if (!pass_listen(w, form, r, &p)) {
    end =
      rl_listen_complain(RL_LISTEN_INPUT, w->sound, "not enough memory for so long a recording");
  } else if (!p.steps || !search_fill(&p, &search, &found->tempo)) {
    end = rl_listen_complain(RL_LISTEN_INPUT, w->sound,
                             "the form was not found in it; is it this song, in this --key?");
  } else {
    const RlEarReport *const last = &p.report[p.steps - 1];
    search.hop                    = p.hop;
    search.hops                   = 2 * p.steps;
    search.key                    = last->key;
    found->key                    = last->key;
    found->key_sure               = last->key_sure;
    found->cents                  = last->cents;
    end                           = way_find(&p, &search, found);
  }
  progress_say(1);
  free(p.report);
  free(p.hop);
  return end;
}
