/* SPDX-License-Identifier: ISC */
#include "core/ear/path.h"

#include "core/ear/learned.h"

#include <math.h>
#include <string.h>

enum {
  CHORD_LAG = 15,  /* hops that chords are heard late */
  OUTSIDE   = 255, /* in RlWay.from: came from outside the form */
  LETTERS   = 128,
  AROUND    = 4 /* beats on each side that smooth a beat */
};

static const float nothing     = -1e30F;
static const float enter_first = -4, enter_any = -14, leave_last = -4, leave_any = -14; /* nepers */
static const float turn_width     = 0.03F; /* of a beat's length, from beat to beat */
static const float onset_share    = 0.5F;  /* of a hop's word: neighbouring hops say the same */
static const float missed         = 0.4F;
static const float outside_change = 0.005F; /* of chord, a hop */

/* Its arrays, in the caller's memory. */
typedef struct {
  const RlPathSearch *s;
  int                 lengths; /* of beats: longest - shortest + 1 */
  int                 ring;    /* hops that `best` reaches back */
  float              *best;    /* [hop % ring][beat][length]: beat ends at hop */
  uint8_t            *from;    /* [hop][beat][length]: index of the length before */
  float              *outside; /* [hop] */
  int32_t *left;  /* [hop]: beat * lengths + length that was left here, -1: stayed outside */
  float   *chord; /* [chord of the score][hop + 1], summed */
  float    onset[RL_BEAT_KINDS][RL_EAR_PHASES][RL_HEARING_SYMBOLS];
} Way;

static size_t
aligned(const size_t bytes)
{
  return (bytes + 15) & ~(size_t)15;
}

static size_t
way_lay(Way *const w, char *const memory)
{
  const size_t hops   = (size_t)w->s->hops + 1;
  const size_t states = (size_t)w->s->score->beats * (size_t)w->lengths;
  const size_t best   = aligned((size_t)w->ring * states * sizeof(float));
  const size_t from   = aligned(hops * states);
  const size_t each   = aligned(hops * sizeof(float));
  if (memory) {
    w->best    = (float *)(void *)memory;
    w->from    = (uint8_t *)memory + best;
    w->outside = (float *)(void *)(memory + best + from);
    w->left    = (int32_t *)(void *)(memory + best + from + each);
    w->chord   = (float *)(void *)(memory + best + from + 2 * each);
  }
  return best + from + 2 * each + hops * (size_t)w->s->score->chords * sizeof(float);
}

static Way
way_of(const RlPathSearch *const s)
{
  return (Way){.s = s, .lengths = s->longest - s->shortest + 1, .ring = s->longest + 1};
}

size_t
rl_path_bytes(const RlPathSearch *const s)
{
  Way w = way_of(s);
  return way_lay(&w, NULL);
}

/* ---- evidence ---- */

static void
onsets_lay(Way *const w)
{
  static const char letters[] = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz";
  float             nepers[LETTERS] = {0};
  for (int i = 0; letters[i]; ++i) {
    const float ratio       = expf(0.1F * (float)(i + RL_LEARNED_LEAST));
    nepers[(int)letters[i]] = onset_share * logf(missed + (1 - missed) * ratio);
  }
  for (int a = 0; a < RL_BEAT_KINDS; ++a) {
    for (int p = 0; p < RL_EAR_PHASES; ++p) {
      for (int y = 0; y < RL_HEARING_SYMBOLS; ++y) {
        w->onset[a][p][y] = nepers[(int)rl_learned_onsets[w->s->feel][a][p][y]];
      }
    }
  }
}

static void
chords_sum(Way *const w)
{
  const RlScore *const score = w->s->score;
  for (int q = 0; q < score->chords; ++q) {
    float *const       sum   = w->chord + (size_t)q * ((size_t)w->s->hops + 1);
    const RlScoreChord chord = score->chord[q];
    sum[0]                   = 0;
    for (int t = 0; t < w->s->hops; ++t) {
      const float none = -0.03F; /* N.C.: whatever it is */
      sum[t + 1] =
        sum[t] +
        (chord.type < RL_CHORD_TYPES ? w->s->hop[t].chord[rl_score_class(chord, w->s->key)] : none);
    }
  }
}

static int
hop_within(const Way *const w, const int hop)
{
  return hop < 0 ? 0 : hop < w->s->hops ? hop : w->s->hops;
}

/* The word of the chords for beat `b` over `length` hops from `from`. */
static float
beat_worth(const Way *const w, const int b, const int from, const int length)
{
  const RlScoreBeat *const beat = &w->s->score->beat[b];
  const float *const       sum  = w->chord + (size_t)beat->chord * ((size_t)w->s->hops + 1);
  const int                lean[RL_EAR_LEANS] = {0, -length / 2, length / 2};
  const int                heard              = from + CHORD_LAG + lean[w->s->lean];
  return sum[hop_within(w, heard + length)] - sum[hop_within(w, heard)];
}

static float
onset_worth(const Way *const w, const int kind, const int from, const int length)
{
  float sum = 0;
  for (int k = 0; k < length; ++k) {
    sum += w->onset[kind][RL_EAR_PHASES * k / length][w->s->hop[from + k].symbol];
  }
  return sum;
}

/* ---- forward ---- */

static float *
best_at(const Way *const w, const int hop, const int beat)
{
  const size_t states = (size_t)w->s->score->beats * (size_t)w->lengths;
  return w->best + (size_t)(hop % w->ring) * states + (size_t)beat * (size_t)w->lengths;
}

static uint8_t *
from_at(const Way *const w, const int hop, const int beat)
{
  const size_t states = (size_t)w->s->score->beats * (size_t)w->lengths;
  return w->from + (size_t)hop * states + (size_t)beat * (size_t)w->lengths;
}

static float
turn_worth(const int from, const int to)
{
  const float off = (float)(to - from) / ((float)to * turn_width);
  return -0.5F * off * off;
}

/* The best way into beat `b` that begins at `begin` and takes `length` hops. */
static float
entry_best(const Way *const w, const int b, const int begin, const int length, uint8_t *const from)
{
  const int          before = b ? b - 1 : w->s->score->beats - 1;
  const float *const ended  = best_at(w, begin, before);
  float              best   = w->outside[begin] + (b == 0 ? enter_first : enter_any);
  *from                     = OUTSIDE;
  for (int i = 0; i < w->lengths; ++i) {
    const float here = ended[i] + turn_worth(w->s->shortest + i, length);
    if (ended[i] > nothing && here > best) {
      best  = here;
      *from = (uint8_t)i;
    }
  }
  return best;
}

/* All beats that end at `hop`. */
static void
beats_end(const Way *const w, const int hop)
{
  for (int j = 0; j < w->lengths; ++j) {
    const int length = w->s->shortest + j, begin = hop - length;
    float     onsets[RL_BEAT_KINDS] = {0};
    for (int a = 0; a < RL_BEAT_KINDS && begin >= 0; ++a) {
      onsets[a] = onset_worth(w, a, begin, length);
    }
    for (int b = 0; b < w->s->score->beats; ++b) {
      float *const to = best_at(w, hop, b) + j;
      *to             = nothing;
      if (begin >= 0) {
        const float best = entry_best(w, b, begin, length, from_at(w, hop, b) + j);
        *to = best + onsets[w->s->score->beat[b].kind] + beat_worth(w, b, begin, length);
      }
    }
  }
}

/* One hop more outside, or out of the form; `change` is the free chords' word for it. */
static void
outside_step(const Way *const w, const int hop, const float word)
{
  const int beats = w->s->score->beats;
  w->outside[hop] = w->outside[hop - 1] + word;
  w->left[hop]    = -1;
  for (int b = 0; b < beats; ++b) {
    const float *const ended = best_at(w, hop, b);
    for (int i = 0; i < w->lengths; ++i) {
      const float here = ended[i] + (b == beats - 1 ? leave_last : leave_any);
      if (ended[i] > nothing && here > w->outside[hop]) {
        w->outside[hop] = here;
        w->left[hop]    = b * w->lengths + i;
      }
    }
  }
}

/* The log likelihood of a hop under free chords. */
static float
free_word(float state[RL_CHORD_CLASSES], const float *const nepers)
{
  float sum = 0;
  for (int k = 0; k < RL_CHORD_CLASSES; ++k) {
    state[k] =
      (state[k] * (1 - outside_change) + outside_change / RL_CHORD_CLASSES) * expf(nepers[k]);
    sum += state[k];
  }
  for (int k = 0; k < RL_CHORD_CLASSES; ++k) {
    state[k] /= sum;
  }
  return logf(sum);
}

static void
forward(Way *const w)
{
  float free[RL_CHORD_CLASSES];
  for (int k = 0; k < RL_CHORD_CLASSES; ++k) {
    free[k] = 1.0F / RL_CHORD_CLASSES;
  }
  w->outside[0] = 0;
  w->left[0]    = -1;
  for (int b = 0; b < w->s->score->beats; ++b) {
    for (int i = 0; i < w->lengths; ++i) {
      best_at(w, 0, b)[i] = nothing;
    }
  }
  for (int hop = 1; hop <= w->s->hops; ++hop) {
    beats_end(w, hop);
    outside_step(w, hop, free_word(free, w->s->hop[hop - 1].chord));
  }
}

/* ---- back ---- */

static int
last_state(const Way *const w, float *const worth)
{
  float best  = w->outside[w->s->hops];
  int   state = -1;
  for (int b = 0; b < w->s->score->beats; ++b) {
    for (int i = 0; i < w->lengths; ++i) {
      const float here = best_at(w, w->s->hops, b)[i];
      if (here > best) {
        best  = here;
        state = b * w->lengths + i;
      }
    }
  }
  *worth = best;
  return state;
}

/* The beat that begins where the last whole one ends, if the recording ends within it. */
static int
cut_beat(const Way *const w, const int state, const int end, RlPathBeat *const beat)
{
  const int next = state / w->lengths + 1 < w->s->score->beats ? state / w->lengths + 1 : 0;
  *beat          = (RlPathBeat){next, end, false};
  return end < w->s->hops && w->s->hops - end < w->s->shortest + state % w->lengths;
}

static int
back(const Way *const w, RlPathBeat *const beats, const int room, float *const worth)
{
  int count = 0, hop = w->s->hops, state = last_state(w, worth);
  while (hop > 0 && count < room) {
    if (state < 0) {
      state = w->left[hop];
      hop -= state < 0;
      continue;
    }
    count += count == 0 ? cut_beat(w, state, hop, beats) : 0;
    const int     b = state / w->lengths, i = state % w->lengths;
    const uint8_t from   = from_at(w, hop, b)[i];
    const int     before = b ? b - 1 : w->s->score->beats - 1;
    hop -= w->s->shortest + i;
    beats[count++] = (RlPathBeat){b, hop, from == OUTSIDE};
    state          = from == OUTSIDE ? -1 : before * w->lengths + from;
  }
  for (int a = 0, z = count - 1; a < z; ++a, --z) {
    const RlPathBeat kept = beats[a];
    beats[a]              = beats[z];
    beats[z]              = kept;
  }
  return count;
}

/* The straight line through a beat's neighbours, at the beat. */
static double
smoothed(const RlPathBeat *const beats, const int count, const int at)
{
  double n = 0, x = 0, y = 0, xx = 0, xy = 0;
  int    from = at, to = at;
  while (from > 0 && from > at - AROUND && !beats[from].entered) {
    --from;
  }
  while (to + 1 < count && to < at + AROUND && !beats[to + 1].entered) {
    ++to;
  }
  for (int i = from; i <= to; ++i) {
    n += 1;
    x += i - at;
    y += beats[i].hop;
    xx += (double)(i - at) * (i - at);
    xy += (i - at) * beats[i].hop;
  }
  const double spread = n * xx - x * x;
  return spread > 0 ? (y * xx - x * xy) / spread : beats[at].hop;
}

int
rl_path_find(const RlPathSearch *const s, void *const memory, RlPathBeat *const beats,
             const int room, float *const worth)
{
  Way w = way_of(s);
  way_lay(&w, memory);
  onsets_lay(&w);
  chords_sum(&w);
  forward(&w);
  const int count = back(&w, beats, room / 2, worth);
  for (int i = 0; i < count; ++i) { /* into the other half, then home */
    beats[room / 2 + i]     = beats[i];
    beats[room / 2 + i].hop = smoothed(beats, count, i);
  }
  memmove(beats, beats + room / 2, (size_t)count * sizeof(*beats));
  return count;
}
