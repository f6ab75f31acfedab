/* SPDX-License-Identifier: ISC */
#include "plugin/lift/kept.h"

#include <math.h>
#include <string.h>

enum {
  KEPT_SAMPLES = RL_KEPT_BLOCKS * RL_KEPT_BLOCK,
  APART        = RL_LIFT_RATE / 100, /* samples between two marks at least */
  GAP_MOST     = 10                  /* seconds that silence stands in for */
};

static const float loudest = 32767.0F;

void
rl_kept_begin(RlKept *const k, const double rate)
{
  k->rate = rate;
  rl_resampler_init(&k->fresh, rate * RL_EAR_RATE / RL_LIFT_RATE);
}

/* ---- sound ---- */

static void
block_close(RlKept *const k, const int block)
{
  float most = 0;
  for (int i = 0; i < 2 * RL_KEPT_BLOCK; ++i) {
    most = fmaxf(most, fabsf(k->open[i / RL_KEPT_BLOCK][i % RL_KEPT_BLOCK]));
  }
  const float scale = most > 0 ? most / loudest : 1;
  for (int side = 0; side < 2; ++side) {
    for (int i = 0; i < RL_KEPT_BLOCK; ++i) {
      k->sound[side][block * RL_KEPT_BLOCK + i] = (int16_t)lrintf(k->open[side][i] / scale);
    }
  }
  k->scale[block] = scale;
}

static void
sample_add(RlKept *const k, const float left, const float right)
{
  const int at   = (int)(k->samples % RL_KEPT_BLOCK);
  k->open[0][at] = left;
  k->open[1][at] = right;
  if (at == RL_KEPT_BLOCK - 1) {
    block_close(k, (int)(k->samples / RL_KEPT_BLOCK % RL_KEPT_BLOCKS));
  }
  ++k->samples;
}

static void
push(RlKept *const k, const float left, const float right)
{
  float     l[2] = {0}, r[2] = {0};
  const int count = rl_resampler_push(&k->side[0], left, l);
  if (k->stereo) {
    rl_resampler_push(&k->side[1], right, r);
  }
  for (int i = 0; i < count; ++i) {
    sample_add(k, l[i], k->stereo ? r[i] : l[i]);
  }
}

static double
sample_of(const RlKept *const k, const int64_t frame)
{
  return k->run_from + (double)(frame - k->run_frame) * RL_LIFT_RATE / k->rate;
}

/* What the resampler still holds of a run that is over. */
static void
run_flush(RlKept *const k)
{
  const double to = k->any ? floor(sample_of(k, k->due)) : 0;
  for (int i = 0; i < RL_RESAMPLER_TAPS && (double)k->samples < to; ++i) {
    push(k, 0, 0);
  }
}

static void
run_begin(RlKept *const k, const int64_t frame)
{
  run_flush(k);
  k->any       = true;
  k->run_from  = (double)k->samples;
  k->run_frame = frame;
  k->due       = frame;
  k->side[0]   = k->fresh;
  k->side[1]   = k->fresh;
}

bool
rl_kept_has(const RlKept *const k, const int64_t first, const size_t count)
{
  const int64_t oldest = k->samples - (KEPT_SAMPLES - RL_KEPT_BLOCK);
  return first >= 0 && first >= oldest && first + (int64_t)count <= k->samples;
}

void
rl_kept_copy(const RlKept *const k, const int side, const int64_t first, const size_t count,
             float *const to)
{
  const int64_t closed = k->samples / RL_KEPT_BLOCK * RL_KEPT_BLOCK;
  for (size_t i = 0; i < count; ++i) {
    const int64_t n  = first + (int64_t)i;
    const int     at = (int)(n % KEPT_SAMPLES);
    to[i]            = n >= closed ? k->open[side][n % RL_KEPT_BLOCK]
                                   : (float)k->sound[side][at] * k->scale[at / RL_KEPT_BLOCK];
  }
}

/* ---- where it is ---- */

static const RlKeptMark *
mark_at(const RlKept *const k, const unsigned n)
{
  return &k->mark[n % RL_KEPT_MARKS];
}

static unsigned
oldest_mark(const RlKept *const k)
{
  return k->marks > RL_KEPT_MARKS ? k->marks - RL_KEPT_MARKS : 0;
}

static void
mark_add(RlKept *const k, const RlTrackHead *const h, const bool lost)
{
  const RlKeptMark        mark = {sample_of(k, h->frame),
                                  h->frame,
                                  h->quarters,
                                  h->rate * k->rate / RL_LIFT_RATE,
                                  h->run,
                                  h->chart,
                                  lost};
  const RlKeptMark *const last = k->marks ? mark_at(k, k->marks - 1) : NULL;
  if (!last || lost || last->run != h->run || mark.sample - last->sample >= APART ||
      fabs(mark.rate - last->rate) > 1e-9) {
    k->mark[k->marks++ % RL_KEPT_MARKS] = mark;
  }
}

void
rl_kept_add(RlKept *const k, const RlTrackChunk *const c)
{
  const bool    same     = k->any && k->marks && mark_at(k, k->marks - 1)->run == c->head.run;
  const int64_t gap      = same ? c->head.frame - k->due : 0;
  const bool    long_gap = gap < 0 || (double)gap > GAP_MOST * k->rate;
  if (c->stereo && !k->stereo) {
    k->stereo  = true;
    k->side[1] = k->side[0];
  }
  if (!same || long_gap) {
    run_begin(k, c->head.frame);
  }
  for (int64_t i = 0; !long_gap && i < gap; ++i) {
    push(k, 0, 0);
  }
  mark_add(k, &c->head, gap != 0);
  for (uint32_t i = 0; i < c->frames; ++i) {
    push(k, c->sound[0][i], c->sound[1][i]);
  }
  k->due = c->head.frame + c->frames;
}

/* ---- runs ---- */

static double
oldest_sample(const RlKept *const k)
{
  return fmax(0, (double)(k->samples - (KEPT_SAMPLES - RL_KEPT_BLOCK)));
}

/* The run whose last mark is the one before `past`; false if nothing of it is kept. */
static bool
run_before(const RlKept *const k, const unsigned past, RlKeptRun *const run)
{
  const unsigned oldest = oldest_mark(k);
  if (past == oldest || k->marks == 0) {
    return false;
  }
  unsigned first = past - 1;
  while (first > oldest && mark_at(k, first - 1)->run == mark_at(k, past - 1)->run) {
    --first;
  }
  const double end = past == k->marks ? (double)k->samples : mark_at(k, past)->sample;
  *run = (RlKeptRun){.first = first, .past = past, .to = end, .chart = mark_at(k, first)->chart};
  run->from   = fmax(mark_at(k, first)->sample, oldest_sample(k));
  run->begins = rl_kept_quarters(k, run, run->from);
  run->ends   = rl_kept_quarters(k, run, run->to);
  return run->from < run->to;
}

double
rl_kept_quarters(const RlKept *const k, const RlKeptRun *const run, const double sample)
{
  unsigned low = run->first, high = run->past; /* the mark is in [low, high) */
  while (high - low > 1) {
    const unsigned middle = low + (high - low) / 2;
    if (mark_at(k, middle)->sample <= sample) {
      low = middle;
    } else {
      high = middle;
    }
  }
  const RlKeptMark *const a = mark_at(k, low);
  if (low + 1 < run->past) {
    const RlKeptMark *const b    = mark_at(k, low + 1);
    const double            part = (sample - a->sample) / fmax(b->sample - a->sample, 1e-9);
    return a->quarters + part * (b->quarters - a->quarters);
  }
  return a->quarters + a->rate * (sample - a->sample);
}

double
rl_kept_sample(const RlKept *const k, const RlKeptRun *const run, const double quarters)
{
  unsigned n = run->first;
  while (n + 1 < run->past && mark_at(k, n + 1)->quarters <= quarters) {
    ++n;
  }
  const RlKeptMark *const a    = mark_at(k, n);
  const RlKeptMark *const b    = n + 1 < run->past ? mark_at(k, n + 1) : NULL;
  const double            rate = b && b->quarters > a->quarters
                                   ? (b->quarters - a->quarters) / (b->sample - a->sample)
                                   : a->rate;
  return a->sample + (rate > 0 ? (quarters - a->quarters) / rate : 0);
}

/* ---- parts ---- */

/* The sample of a frame that the run knows. */
static double
sample_at_frame(const RlKept *const k, const RlKeptRun *const run, const int64_t frame)
{
  unsigned n = run->first;
  while (n + 1 < run->past && mark_at(k, n + 1)->frame <= frame) {
    ++n;
  }
  const RlKeptMark *const a = mark_at(k, n);
  return a->sample + (double)(frame - a->frame) * RL_LIFT_RATE / k->rate;
}

/* The newest run of that chart that began before a frame. */
static bool
run_at(const RlKept *const k, const int64_t frame, const unsigned chart, RlKeptRun *const run)
{
  for (unsigned past = k->marks; run_before(k, past, run); past = run->first) {
    if (mark_at(k, run->first)->frame < frame && run->chart == chart) {
      return true;
    }
  }
  return false;
}

static bool
frames_find(const RlKept *const k, const RlLiftWant *const want, const unsigned chart,
            RlKeptPart *const part)
{
  if (!run_at(k, want->at, chart, &part->run)) {
    return false;
  }
  const double from = sample_at_frame(k, &part->run, want->from);
  const double to   = fmin(sample_at_frame(k, &part->run, want->at), part->run.to);
  part->short_of    = from < part->run.from - APART;
  part->from        = rl_kept_quarters(k, &part->run, fmax(from, part->run.from));
  part->to          = rl_kept_quarters(k, &part->run, to);
  return part->to > part->from;
}

/* In the first bar after a break what came before it is meant, as with notes played. */
static bool
last_find(const RlKept *const k, const RlLiftWant *const want, const RlForm *const form,
          const unsigned chart, RlKeptPart *const part)
{
  if (!run_at(k, want->at, chart, &part->run)) {
    return false;
  }
  RlKeptRun     before = {0};
  const RlPlace place  = rl_form_locate(form, RL_AXIS_QUARTERS, part->run.ends, 1e-6);
  const double  bar    = place.beats > 0 ? place.beats * 4.0 / place.unit : 4;
  const bool    young  = part->run.ends - part->run.begins < bar;
  const bool    older  = young && run_at(k, mark_at(k, part->run.first)->frame, chart, &before);
  part->run            = older ? before : part->run;
  const double to      = fmin(sample_at_frame(k, &part->run, want->at), part->run.to);
  part->to             = rl_kept_quarters(k, &part->run, to);
  const double from    = rl_recall_begin(form, part->to, want->four_bars);
  part->short_of =
    from < part->run.begins && oldest_sample(k) >= part->run.from - 1 && oldest_sample(k) > 0;
  part->from = fmax(from, part->run.begins);
  return part->to > part->from;
}

/* The newest run that has all of them, and the newest pass in it. */
static bool
bars_find(const RlKept *const k, const RlLiftWant *const want, const RlForm *const form,
          const unsigned chart, RlKeptPart *const part)
{
  static const double slack  = 0.25; /* quarters */
  const double *const starts = form->starts[RL_AXIS_QUARTERS];
  const double        chorus = starts[form->bars];
  const double        from = starts[want->first - 1], to = starts[want->last];
  RlKeptRun *const    run = &part->run;
  for (unsigned past = k->marks; run_before(k, past, run); past = run->first) {
    const double most = form->choruses ? form->choruses - 1 : HUGE_VAL;
    const double pass = fmin(floor((run->ends + slack - to) / chorus), most);
    part->from        = from + pass * chorus;
    part->to          = to + pass * chorus;
    if (run->chart == chart && pass >= 0 && part->from >= run->begins - slack &&
        part->to <= run->ends + slack) {
      return true;
    }
  }
  return false;
}

static bool
sound_is_missing(const RlKept *const k, const RlKeptPart *const part)
{
  bool lost = false;
  for (unsigned n = part->run.first; n < part->run.past; ++n) {
    const RlKeptMark *const m = mark_at(k, n);
    lost = lost || (m->lost && m->quarters > part->from && m->quarters < part->to);
  }
  return lost;
}

bool
rl_kept_find(const RlKept *const k, const RlLiftWant *const want, const RlForm *const form,
             const unsigned chart, RlKeptPart *const part)
{
  *part            = (RlKeptPart){0};
  const bool found = want->kind == RL_LIFT_WANT_FRAMES ? frames_find(k, want, chart, part)
                     : want->kind == RL_LIFT_WANT_LAST ? last_find(k, want, form, chart, part)
                                                       : bars_find(k, want, form, chart, part);
  part->lost       = found && sound_is_missing(k, part);
  return found;
}
