/* SPDX-License-Identifier: ISC */
#include "core/ear/phrase/trust.h"

#include <math.h>
#include <stdbool.h>
#include <string.h>

enum {
  PITCHES  = RL_LIFT_PITCHES,
  STATES   = RL_LIFT_STATES,
  PARTIALS = 8,
  HIGH     = 4 /* from here on they are the high ones */
};

/* Thirds of a half step from a pitch to its partials 1, 2, 3, 4, 5, 6, 7, 8. */
static const int partial[PARTIALS] = {0, 36, 57, 72, 84, 93, 101, 108};

/* What is asked of a note. */
typedef enum {
  ALWAYS,
  HOLDS,        /* mean log share of its pitch */
  HOLDS_AT_ON,  /* the same, over its first 60 ms */
  MARGIN,       /* against the next best pitch */
  RESTS,        /* mean log share of a rest */
  BEGINS,       /* best log odds of a beginning, within 10 ms */
  LONG,         /* logarithm of its seconds */
  AGAIN,        /* the same pitch just before */
  AGAIN_BEGINS, /* both */
  GRACE,        /* short, and a step from what follows at once */
  TAIL,         /* short, and a little under what was just before */
  ON_GRID,      /* the grid's prior where it begins */
  FOREIGN,      /* its pitch class is not the chord's */
  OCTAVE,       /* mean log share of the octaves */
  LOUD,         /* logarithm of its level against the others */
  ALONE,        /* seconds of silence around it, where it is far from the others in pitch */
  CLEAN,        /* how sure the frames of the whole clip are */
  UNLIKE,       /* how its partials differ from those of the other notes */
  DIES,         /* its level at the end against the beginning */
  DULLS,        /* the same of its high partials: strings and keys do, horns do not */
  ALL_DIE,      /* both, of all notes on average: then it is no horn's line */
  ALL_DULL,
  ASKED
} Asked;

_Static_assert((int)ASKED == RL_LIFT_ASKED, "as in trust.h");

static const float faintest = -7;

/* What all notes have in common, and of each what the others need. */
typedef struct {
  const RlLiftPhrase *phrase;
  float               loud[RL_LIFT_NOTES_MAX]; /* logarithms */
  float               profile[RL_LIFT_NOTES_MAX][PARTIALS];
  float               loud_median, pitch_median, clean;
} Known;

static float
within(const float x, const float low, const float high)
{
  return x < low ? low : x > high ? high : x;
}

/* ---- partials ---- */

static float
bin_widest(const float *const level, const int bin)
{
  const float right = bin + 1 < RL_LIFT_BINS ? level[bin + 1] : 0;
  return fmaxf(level[bin], fmaxf(level[bin - 1], right));
}

/* The mean level under each partial from one frame up to another. */
static void
partials_measure(const RlLiftSpectra *const s, const int pitch, const int from, const int to,
                 float out[PARTIALS])
{
  for (int h = 0; h < PARTIALS; ++h) {
    const int bin = 3 * (pitch + RL_LIFT_LOWEST - RL_LIFT_BIN_LOWEST) + partial[h];
    out[h]        = 0;
    for (int t = from; bin < RL_LIFT_BINS && t < to && t < s->frames; ++t) {
      out[h] += bin_widest(s->level + (size_t)t * RL_LIFT_BINS, bin) / (float)(to - from);
    }
  }
}

static float
loudness(const RlLiftSpectra *const s, const RlLiftSpan *const span)
{
  float sum = 0;
  for (int t = span->on; t < span->off; ++t) {
    for (int h = 0; h < 4; ++h) {
      const int bin = 3 * (span->pitch + RL_LIFT_LOWEST - RL_LIFT_BIN_LOWEST) + partial[h];
      sum += bin < RL_LIFT_BINS ? s->level[(size_t)t * RL_LIFT_BINS + (size_t)bin] : 0;
    }
  }
  return logf(sum / (float)(span->off - span->on) + .05F);
}

static float
ratio_of(const float *const a, const float *const z, const int from)
{
  float sum_a = .1F, sum_z = .1F;
  for (int h = from; h < PARTIALS; ++h) {
    sum_a += a[h];
    sum_z += z[h];
  }
  return within(logf(sum_z / sum_a), -2, 2);
}

static void
colour_ask(const Known *const known, const int i, float asked[ASKED])
{
  const RlLiftPhrase *const ph    = known->phrase;
  const RlLiftSpan *const   span  = &ph->span[i];
  const int                 third = (span->off - span->on) / 3, part = third < 3 ? 3 : third;
  float first[PARTIALS], last[PARTIALS], other[PARTIALS] = {0}, heavy = 0, differs = 0;
  partials_measure(ph->spectra, span->pitch, span->on + 2, span->on + 2 + part, first);
  partials_measure(ph->spectra, span->pitch, span->off - part, span->off, last);
  for (int j = 0; j < ph->count; ++j) {
    const RlLiftSpan *const b = &ph->span[j];
    const float             w =
      j == i ? 0
                         : (float)(b->off - b->on) / (1 + .25F * (float)rl_lift_apart(b->pitch - span->pitch));
    heavy += w;
    for (int h = 0; h < PARTIALS; ++h) {
      other[h] += w * known->profile[j][h];
    }
  }
  for (int h = 0; heavy > 0 && h < PARTIALS; ++h) {
    differs += fabsf(known->profile[i][h] - other[h] / heavy) / PARTIALS;
  }
  asked[UNLIKE] = differs;
  asked[DIES]   = ratio_of(first, last, 0);
  asked[DULLS]  = ratio_of(first, last, HIGH);
}

/* ---- frames ---- */

static void
frames_ask(const RlLiftPhrase *const ph, const RlLiftSpan *const span, float asked[ASKED])
{
  const int p = span->pitch, length = span->off - span->on, early = length < 6 ? length : 6;
  for (int t = span->on; t < span->off; ++t) {
    const float *const holds = ph->heard->holds + (size_t)t * STATES;
    const float        here  = fmaxf(holds[p], faintest);
    float              next = faintest, octave = faintest;
    for (int q = 0; q < PITCHES; ++q) {
      next   = q != p && holds[q] > next ? holds[q] : next;
      octave = rl_lift_apart(q - p) == 12 && holds[q] > octave ? holds[q] : octave;
    }
    asked[HOLDS] += here / (float)length;
    asked[HOLDS_AT_ON] += t < span->on + 6 ? here / (float)early : 0;
    asked[MARGIN] += within(here - next, -5, 5) / (float)length;
    asked[RESTS] += fmaxf(holds[PITCHES], faintest) / (float)length;
    asked[OCTAVE] += octave / (float)length;
  }
  float begins = -9;
  for (int t = span->on - 1; t <= span->on + 1; ++t) {
    if (t >= 0 && t < ph->heard->frames) {
      begins = fmaxf(begins, ph->heard->begins[(size_t)t * PITCHES + (size_t)p]);
    }
  }
  asked[BEGINS] = within(begins, -6, 5);
}

/* ---- the notes around ---- */

static void
neighbours_ask(const Known *const known, const int i, float asked[ASKED])
{
  const RlLiftPhrase *const ph     = known->phrase;
  const RlLiftSpan *const   span   = &ph->span[i];
  const RlLiftSpan *const   last   = i ? span - 1 : NULL;
  const RlLiftSpan *const   next   = i + 1 < ph->count ? span + 1 : NULL;
  const float               before = last ? fminf((float)(span->on - last->off) * .01F, 1) : 1;
  const float               after  = next ? fminf((float)(next->on - span->off) * .01F, 1) : 1;
  const float               length = (float)(span->off - span->on) * .01F;
  const int                 fall   = last ? last->pitch - span->pitch : 0;
  const bool                again  = last && fall == 0 && before < .06F;
  asked[AGAIN]                     = again ? 1 : 0;
  asked[GRACE] =
    next && after < .03F && length < .12F && rl_lift_apart(next->pitch - span->pitch) <= 2;
  asked[TAIL]  = last && before < .03F && after > .06F && length < .14F && fall > 0 && fall <= 4;
  asked[ALONE] = fabsf((float)span->pitch - known->pitch_median) > 9 ? fminf(before, after) : 0;
  asked[LONG]  = logf(length);
}

static void
note_ask(const Known *const known, const int i, float asked[ASKED])
{
  const RlLiftPhrase *const ph    = known->phrase;
  const RlLiftSpan *const   span  = &ph->span[i];
  const unsigned            scale = rl_lift_scale_at(ph->grid, span->on);
  memset(asked, 0, sizeof(*asked) * ASKED);
  frames_ask(ph, span, asked);
  neighbours_ask(known, i, asked);
  colour_ask(known, i, asked);
  asked[ALWAYS]       = 1;
  asked[CLEAN]        = known->clean;
  asked[AGAIN_BEGINS] = asked[AGAIN] * asked[BEGINS];
  asked[ON_GRID]      = ph->prior[span->on];
  asked[FOREIGN]      = scale >> (span->pitch + RL_LIFT_LOWEST) % 12 & 1 ? 0 : 1;
  asked[LOUD]         = known->loud[i] - known->loud_median;
}

static float
median(const float *const values, const int count)
{
  float sorted[RL_LIFT_NOTES_MAX];
  for (int i = 0; i < count; ++i) {
    int at = i;
    for (; at > 0 && sorted[at - 1] > values[i]; --at) {
      sorted[at] = sorted[at - 1];
    }
    sorted[at] = values[i];
  }
  return sorted[count / 2];
}

/* The mean over the clip's frames of the best state's log share. */
static float
clean_measure(const RlLiftHeard *const heard)
{
  float sum = 0;
  for (int t = 0; t < heard->frames; ++t) {
    const float *const holds = heard->holds + (size_t)t * STATES;
    float              most  = -9;
    for (int s = 0; s < STATES; ++s) {
      most = fmaxf(most, holds[s]);
    }
    sum += most / (float)heard->frames;
  }
  return sum;
}

/* What one note does may be the player's; what all do is the instrument's. */
static void
all_ask(const RlLiftPhrase *const ph, float asked[][ASKED])
{
  float die = 0, dull = 0, heavy = 0;
  for (int i = 0; i < ph->count; ++i) {
    const float length = (float)(ph->span[i].off - ph->span[i].on);
    die += length * asked[i][DIES];
    dull += length * asked[i][DULLS];
    heavy += length;
  }
  for (int i = 0; i < ph->count; ++i) {
    asked[i][ALL_DIE]  = die / heavy;
    asked[i][ALL_DULL] = dull / heavy;
  }
}

void
rl_lift_trust_ask(const RlLiftPhrase *const ph, float asked[][RL_LIFT_ASKED])
{
  Known known = {.phrase = ph, .clean = clean_measure(ph->heard)};
  float pitch[RL_LIFT_NOTES_MAX];
  for (int i = 0; i < ph->count; ++i) {
    const RlLiftSpan *const span = &ph->span[i];
    pitch[i]                     = (float)span->pitch;
    known.loud[i]                = loudness(ph->spectra, span);
    partials_measure(ph->spectra, span->pitch, span->on, span->off, known.profile[i]);
  }
  if (ph->count > 0) {
    known.loud_median  = median(known.loud, ph->count);
    known.pitch_median = median(pitch, ph->count);
  }
  for (int i = 0; i < ph->count; ++i) {
    note_ask(&known, i, asked[i]);
  }
  all_ask(ph, asked);
}

/* Logarithm of the odds that a note is right. */
static float
odds_of(const RlLiftTrust *const t, const float asked[ASKED])
{
  float odds = 0;
  for (int k = 0; k < ASKED; ++k) {
    odds += t->plain[k] * asked[k];
  }
  for (int j = 0; j < RL_LIFT_TRUST_UNITS; ++j) {
    float sum = 0;
    for (int k = 0; k < ASKED; ++k) {
      sum += t->unit[k][j] * asked[k];
    }
    odds += t->out[j] * tanhf(sum);
  }
  return odds > 0 ? t->drawn * odds : odds;
}

void
rl_lift_trust(const RlLiftPhrase *const ph, float sure[RL_LIFT_NOTES_MAX])
{
  float asked[RL_LIFT_NOTES_MAX][RL_LIFT_ASKED];
  rl_lift_trust_ask(ph, asked);
  for (int i = 0; i < ph->count; ++i) {
    sure[i] = 1 / (1 + expf(-odds_of(&rl_lift_trust_learned, asked[i])));
  }
}
