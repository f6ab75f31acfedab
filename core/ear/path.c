/* SPDX-License-Identifier: ISC */
#include "core/ear/path.h"

#include "core/ear/beat_worth.h"

#include <math.h>
#include <string.h>

enum {
  OUTSIDE = 255 /* in Way.from: came from outside the form */
};

static const float nothing     = -1e30F;
static const float enter_first = -4, enter_any = -22, leave_last = -14,
                   leave_any      = -22;    /* nepers */
static const float turn_width     = 0.03F;  /* of a beat's length, from beat to beat */
static const float again_share    = 0.5F;   /* of the onsets, when a way is weighed again */
static const float feel_change    = 0.01F;  /* a beat */
static const float outside_change = 0.005F; /* of chord, a hop */

/* Its arrays, in the caller's memory. A row: what the way up to each beat of the form is worth if
   that beat ends at a hop and has a length; index 0 again the last beat, 1 the first. */
typedef struct {
  const RlPathSearch *s;
  int                 lengths; /* of beats: longest - shortest + 1 */
  int                 ring;    /* hops that `best` reaches back */
  float              *best;    /* [hop % ring][length]: a row */
  uint8_t            *from;    /* [hop][length][beat]: index of the length before */
  float              *outside; /* [hop] */
  int32_t    *left; /* [hop]: beat * lengths + length that was left here, -1: stayed outside */
  RlBeatWorth worth;
} Way;

static size_t
aligned(const size_t bytes)
{
  return (bytes + 15) & ~(size_t)15;
}

/* Bytes of its arrays. */
typedef struct {
  size_t best, from, each, all;
} Sizes;

static Sizes
sizes_of(const Way *const w)
{
  const size_t hops = (size_t)w->s->hops + 1, beats = (size_t)w->s->score->beats;
  const size_t rows = (size_t)w->ring * (size_t)w->lengths;
  Sizes        s    = {
              .best = aligned(rows * (beats + 1) * sizeof(float)),
              .from = aligned(hops * beats * (size_t)w->lengths),
              .each = aligned(hops * sizeof(float)),
  };
  s.all = s.best + s.from + 2 * s.each + rl_beat_worth_bytes(w->s);
  return s;
}

static Way
way_of(const RlPathSearch *const s)
{
  return (Way){.s = s, .lengths = s->longest - s->shortest + 1, .ring = s->longest + 1};
}

static Way
way_in(const RlPathSearch *const s, char *memory)
{
  Way         w    = way_of(s);
  const Sizes size = sizes_of(&w);
  w.best           = (float *)(void *)memory;
  w.from           = (uint8_t *)(memory += size.best);
  w.outside        = (float *)(void *)(memory += size.from);
  w.left           = (int32_t *)(void *)(memory += size.each);
  w.worth          = rl_beat_worth_in(s, memory + size.each);
  return w;
}

size_t
rl_path_bytes(const RlPathSearch *const s)
{
  const Way w = way_of(s);
  return sizes_of(&w).all;
}

/* ---- forward ---- */

/* What chords and bass say of a beat over `length` hops from `from`, by chord and how it stands. */
static void
tones_worth(const Way *const w, const int from, const int length,
            float worth[RL_SCORE_CHORDS_MAX * RL_STANDS])
{
  for (int q = 0; q < w->s->score->chords; ++q) {
    const float chord = rl_beat_worth_chord(&w->worth, q, w->s->lean, from, length);
    for (int s = 0; s < RL_STANDS; ++s) {
      worth[q * RL_STANDS + s] = chord + rl_beat_worth_bass(&w->worth, q, s, from, length);
    }
  }
}

static float *
row_at(const Way *const w, const int hop, const int length)
{
  const size_t row = (size_t)(hop % w->ring) * (size_t)w->lengths + (size_t)length;
  return w->best + row * ((size_t)w->s->score->beats + 1);
}

static uint8_t *
from_at(const Way *const w, const int hop, const int length)
{
  const size_t row = (size_t)hop * (size_t)w->lengths + (size_t)length;
  return w->from + row * (size_t)w->s->score->beats;
}

static float
turn_worth(const int from, const int to)
{
  const float off = (float)(to - from) / ((float)to * turn_width);
  return -0.5F * off * off;
}

/* The best ways into each beat that begins at `begin` and has a length: from the beat before with
   any length near it, or from outside. */
static void
row_enter(const Way *const w, const int begin, const int length, float *const to,
          int32_t from[RL_SCORE_BEATS_MAX])
{
  const int beats = w->s->score->beats, reach = 1 + length * 4 / 25; /* 5 turn_width */
  for (int b = 0; b < beats; ++b) {
    to[1 + b] = w->outside[begin] + (b == 0 ? enter_first : enter_any);
    from[b]   = OUTSIDE;
  }
  for (int i = 0; i < w->lengths; ++i) {
    const int off = w->s->shortest + i - length;
    if (off > reach || off < -reach) {
      continue;
    }
    const float *const ended = row_at(w, begin, i);
    const float        turn  = turn_worth(length + off, length);
    for (int b = 0; b < beats; ++b) {
      const float here   = ended[b] + turn;
      const bool  better = here > to[1 + b];
      to[1 + b]          = better ? here : to[1 + b];
      from[b]            = better ? i : from[b];
    }
  }
}

/* All beats of a length that end at `hop`. */
static void
row_end(const Way *const w, const int hop, const int j)
{
  const int                beats = w->s->score->beats, length = w->s->shortest + j;
  const RlScoreBeat *const beat = w->s->score->beat;
  float *const             to   = row_at(w, hop, j);
  uint8_t *const           kept = from_at(w, hop, j);
  float                    onsets[RL_BEAT_KINDS], tones[RL_SCORE_CHORDS_MAX * RL_STANDS];
  int32_t                  from[RL_SCORE_BEATS_MAX];
  const float              pulse = rl_beat_worth_pulse(&w->worth, hop - length, length);
  row_enter(w, hop - length, length, to, from);
  tones_worth(w, hop - length, length, tones);
  for (int a = 0; a < RL_BEAT_KINDS; ++a) {
    onsets[a] =
      pulse + rl_beat_worth_onsets(&w->worth, RL_BEAT_WORTH_ANY_FEEL, a, hop - length, length);
  }
  for (int b = 0; b < beats; ++b) {
    to[1 + b] += onsets[beat[b].kind] + tones[beat[b].chord * RL_STANDS + beat[b].stand];
    // NOLINTNEXTLINE(clang-analyzer-core.uninitialized.Assign): row_enter() sets `beats` of them
    kept[b] = (uint8_t)from[b];
  }
  to[0] = to[beats];
}

static void
row_nothing(const Way *const w, const int hop, const int j)
{
  float *const row = row_at(w, hop, j);
  for (int b = 0; b <= w->s->score->beats; ++b) {
    row[b] = nothing;
  }
}

/* What it costs to leave the form behind a beat: nothing where the recording is cut within the
   next. */
static float
leave_worth(const Way *const w, const int hop, const bool last)
{
  return w->s->hops - hop < w->s->longest ? 0 : last ? leave_last : leave_any;
}

/* One hop more outside, or out of the form; `word` is the free chords' for it. */
static void
outside_step(const Way *const w, const int hop, const float word)
{
  const int beats = w->s->score->beats;
  w->outside[hop] = w->outside[hop - 1] + word;
  w->left[hop]    = -1;
  for (int i = 0; i < w->lengths; ++i) {
    const float *const ended = row_at(w, hop, i);
    for (int b = 0; b < beats; ++b) {
      const float here = ended[1 + b] + leave_worth(w, hop, b == beats - 1);
      if (here > w->outside[hop]) {
        w->outside[hop] = here;
        w->left[hop]    = b * w->lengths + i;
      }
    }
  }
}

static void
free_spread(float state[RL_CHORD_CLASSES])
{
  for (int k = 0; k < RL_CHORD_CLASSES; ++k) {
    state[k] = 1.0F / RL_CHORD_CLASSES;
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
  free_spread(free);
  w->outside[0] = 0;
  w->left[0]    = -1;
  for (int hop = 0; hop <= w->s->hops; ++hop) {
    for (int j = 0; j < w->lengths; ++j) {
      (hop < w->s->shortest + j ? row_nothing : row_end)(w, hop, j);
    }
    if (hop > 0) {
      outside_step(w, hop, free_word(free, w->s->hop[hop - 1].chord));
    }
  }
}

/* ---- back ---- */

static int
last_state(const Way *const w, float *const worth)
{
  float best  = w->outside[w->s->hops];
  int   state = -1;
  for (int i = 0; i < w->lengths; ++i) {
    const float *const row = row_at(w, w->s->hops, i);
    for (int b = 0; b < w->s->score->beats; ++b) {
      if (row[1 + b] > best) {
        best  = row[1 + b];
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
    const uint8_t from   = from_at(w, hop, i)[b];
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

void
rl_path_begin(const RlPathSearch *const s, void *const memory)
{
  const Way w = way_in(s, memory);
  rl_beat_worth_take(&w.worth);
}

int
rl_path_find(const RlPathSearch *const s, void *const memory, RlPathBeat *const beats,
             const int room, float *const worth)
{
  Way w = way_in(s, memory);
  forward(&w);
  return back(&w, beats, room, worth);
}

float
rl_path_none(const RlPathSearch *const s)
{
  float free[RL_CHORD_CLASSES], sum = 0;
  free_spread(free);
  for (int hop = 0; hop < s->hops; ++hop) {
    sum += free_word(free, s->hop[hop].chord);
  }
  return sum;
}

/* ---- a second opinion ---- */

/* A whole beat of a way. */
typedef struct {
  int from, length, beat;
} Whole;

/* False if the one at `i` is none. */
static bool
beat_whole(const Way *const w, const RlPathBeat *const beats, const int count, const int i,
           Whole *const whole)
{
  if (i + 1 >= count || beats[i + 1].entered) {
    return false;
  }
  whole->from   = (int)lround(beats[i].hop);
  whole->length = (int)lround(beats[i + 1].hop) - whole->from;
  whole->beat   = beats[i].beat;
  return whole->from >= 0 && whole->length > 0 && whole->from + whole->length <= w->s->hops;
}

/* On by a beat: feels weighed by what they expect; returns nepers. */
static float
feels_step(const Way *const w, const Whole *const m, float feel[RL_EAR_FEELS])
{
  const int kind = w->s->score->beat[m->beat].kind;
  float     sum = 0, most = -HUGE_VALF, word[RL_EAR_FEELS];
  for (int f = 0; f < RL_EAR_FEELS; ++f) {
    word[f] = again_share * rl_beat_worth_onsets(&w->worth, f, kind, m->from, m->length);
    most    = fmaxf(most, word[f]);
  }
  for (int f = 0; f < RL_EAR_FEELS; ++f) {
    feel[f] = (feel[f] * (1 - feel_change) + feel_change / RL_EAR_FEELS) * expf(word[f] - most);
    sum += feel[f];
  }
  for (int f = 0; f < RL_EAR_FEELS; ++f) {
    feel[f] /= sum;
  }
  return most + logf(sum);
}

void
rl_path_words(const RlPathSearch *const s, void *const memory, const RlPathBeat *const beats,
              const int count, RlPathWords *const words)
{
  Way   w = way_in(s, memory);
  float feel[RL_EAR_FEELS];
  *words = (RlPathWords){0};
  for (int f = 0; f < RL_EAR_FEELS; ++f) {
    feel[f] = 1.0F / RL_EAR_FEELS;
  }
  for (int i = 0; i < count; ++i) {
    Whole m;
    if (!beat_whole(&w, beats, count, i, &m)) {
      continue;
    }
    const RlScoreBeat *const beat = &s->score->beat[m.beat];
    words->onsets += feels_step(&w, &m, feel);
    words->onsets_any +=
      rl_beat_worth_onsets(&w.worth, RL_BEAT_WORTH_ANY_FEEL, beat->kind, m.from, m.length);
    words->pulse += rl_beat_worth_pulse(&w.worth, m.from, m.length);
    words->bass += rl_beat_worth_bass(&w.worth, beat->chord, beat->stand, m.from, m.length);
    for (int lean = 0; lean < RL_EAR_LEANS; ++lean) {
      words->chords[lean] += rl_beat_worth_chord(&w.worth, beat->chord, lean, m.from, m.length);
    }
  }
}
