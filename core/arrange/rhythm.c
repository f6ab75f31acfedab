/* SPDX-License-Identifier: ISC */
#include "core/arrange/rhythm.h"

#include <assert.h>

enum {
  WHOLE      = 4 * RL_TICKS,
  LEAST      = RL_TICKS / 16, /* a sixty-fourth */
  BEATS_MAX  = RL_BAR_BEATS_MAX,
  EDGES_MAX  = 2 * RL_SOUNDS_MAX + 2,
  TUPLET_MAX = 2 /* beats that one tuplet may span */
};

/* A beat, or two: how it is divided. */
typedef struct {
  int32_t from, to; /* ticks in the bar */
  int32_t grid;     /* ticks: times in it are rounded to multiples */
  uint8_t count;    /* of a tuplet: `count` notes in the time of `time`; 0: no tuplet */
  uint8_t time;
} Window;

typedef struct {
  int32_t   length, beat, unit; /* ticks: the bar, a felt beat, the meter's unit */
  int       beats;              /* felt */
  bool      compound;
  Window    window[BEATS_MAX];
  int       windows;
  RlSymbol *symbol;
  int       symbols;
} Bar;

static bool
compound(const int beats, const int unit)
{
  return rl_meter_felt(beats, unit) < beats;
}

int32_t
rl_rhythm_beat(const int beats, const int unit)
{
  return WHOLE / unit * (compound(beats, unit) ? 3 : 1);
}

/* ---- how each beat is divided ---- */

/* Grids of a beat, the simplest first, for simple and compound beats. In a compound beat two, four
   and eight parts are dotted notes. */
enum { CUTS = 12 };
static const struct {
  uint8_t parts, count, time;
} cuts[2][CUTS] = {
  {{1, 0, 0},
   {2, 0, 0},
   {4, 0, 0},
   {3, 3, 2},
   {8, 0, 0},
   {6, 3, 2},
   {5, 5, 4},
   {7, 7, 4},
   {16, 0, 0},
   {12, 3, 2},
   {32, 0, 0},
   {64, 0, 0}},
  {{1, 0, 0},
   {3, 0, 0},
   {6, 0, 0},
   {2, 0, 0},
   {4, 0, 0},
   {12, 0, 0},
   {5, 5, 6},
   {9, 3, 2},
   {8, 0, 0},
   {24, 0, 0},
   {48, 0, 0},
   {96, 0, 0}},
};

/* The sum of the distances of all edges between `from` and `to` from a grid of `step`. */
static int32_t
off_grid(const int32_t *const edge, const int edges, const int32_t from, const int32_t to,
         const int32_t step)
{
  int32_t sum = 0;
  for (int i = 0; i < edges; ++i) {
    const int32_t into = (edge[i] - from) % step;
    if (edge[i] > from && edge[i] < to) {
      sum += into < step - into ? into : step - into;
    }
  }
  return sum;
}

/* The first grid on which all edges lie, else the one they lie nearest to. */
static Window
beat_cut(const Bar *const b, const int32_t from, const int32_t *const edge, const int edges)
{
  Window  best = {from, from + b->beat, b->beat, 0, 0};
  int32_t off  = -1;
  for (int i = 0; i < CUTS && off != 0; ++i) {
    const int32_t step  = b->beat / cuts[b->compound][i].parts;
    const int     count = cuts[b->compound][i].count;
    const int32_t shown = count ? step * count / cuts[b->compound][i].time : step;
    const int32_t now   = off_grid(edge, edges, from, from + b->beat, step);
    if (shown >= LEAST && (off < 0 || now < off)) {
      best = (Window){from, from + b->beat, step, (uint8_t)count, cuts[b->compound][i].time};
      off  = now;
    }
  }
  return best;
}

/* Is it a triplet over two beats? All edges within lie on its thirds, so none on the second beat.
 */
static bool
over_two(const Bar *const b, const int32_t from, const int32_t *const edge, const int edges)
{
  const int32_t to     = from + 2 * b->beat;
  int           inside = 0;
  for (int i = 0; i < edges; ++i) {
    inside += edge[i] > from && edge[i] < to;
  }
  return !b->compound && to <= b->length && inside &&
         !off_grid(edge, edges, from, to, 2 * b->beat / 3);
}

static void
windows_cut(Bar *const b, const int32_t *const edge, const int edges)
{
  for (int32_t at = 0; at < b->length;) {
    const bool two = at / b->beat % TUPLET_MAX == 0 && over_two(b, at, edge, edges);
    b->window[b->windows++] =
      two ? (Window){at, at + 2 * b->beat, 2 * b->beat / 3, 3, 2} : beat_cut(b, at, edge, edges);
    at = b->window[b->windows - 1].to;
  }
}

static const Window *
window_at(const Bar *const b, const int32_t at)
{
  int i = 0;
  while (i + 1 < b->windows && b->window[i].to <= at) {
    ++i;
  }
  return &b->window[i];
}

static int32_t
rounded(const Bar *const b, const int32_t at)
{
  if (at <= 0 || at >= b->length) {
    return at <= 0 ? 0 : b->length;
  }
  const Window *const w    = window_at(b, at);
  const int32_t       grid = w->grid > 0 ? w->grid : 1;
  return w->from + (at - w->from + grid / 2) / grid * grid;
}

/* ---- which values ---- */

/* In a simple meter: may a value of `plain` ticks, dotted or not, begin `at` there without hiding
   a beat? Rests show every one. */
static bool
may_begin(const int32_t at, const int32_t plain, const bool dot, const bool rest)
{
  const int32_t wide = 2 * plain;
  if (dot) {
    return !rest && (at % wide == 0 || (at + plain + plain / 2) % wide == 0);
  }
  return at % plain == 0 || (!rest && at % wide == plain / 2);
}

/* The same in a compound meter, for a value within one beat. */
static bool
may_begin_within(const Bar *const b, const int32_t at, const int32_t plain, const bool dot,
                 const bool rest)
{
  const int32_t into = at % b->beat;
  const int32_t step = dot ? plain + plain / 2 : plain < b->unit ? plain : b->unit;
  return rest && !dot && plain > b->unit ? into == 0 : into % step == 0;
}

typedef struct {
  uint8_t value;
  bool    dot;
  int32_t lasts; /* as written */
} Piece;

/* The longest value that may begin at `at` (ticks as written) and is not longer than `left`. */
static Piece
piece_at(const Bar *const b, const Window *const w, const int32_t at, const int32_t left,
         const bool rest)
{
  for (int v = RL_WHOLE_NOTE; v < RL_VALUES; ++v) {
    for (int dot = 1; dot >= 0; --dot) {
      const int32_t plain  = WHOLE >> v;
      const int32_t lasts  = dot ? plain + plain / 2 : plain;
      const bool    beats  = b->compound && lasts % b->beat == 0; /* one or more whole beats */
      const bool    within = b->compound && !beats && at % b->beat + lasts <= b->beat;
      const bool    fits   = w->count ? !rest || !dot
                             : beats  ? at % lasts == 0
                             : within ? may_begin_within(b, at, plain, dot, rest)
                                      : !b->compound && may_begin(at, plain, dot, rest);
      if (lasts <= left && fits) {
        return (Piece){(uint8_t)v, dot, lasts};
      }
    }
  }
  return (Piece){RL_64TH, false, left};
}

/* ---- symbols ---- */

/* One note or rest within a tuplet, or within the plain beats between two tuplets. */
static void
stretch_write(Bar *const b, const Window *const w, int32_t from, const int32_t to,
              const RlSymbol like)
{
  while (from < to && b->symbols < RL_SYMBOLS_MAX) {
    const int32_t   at    = w->count ? (from - w->from) * w->count / w->time : from;
    const int32_t   left  = w->count ? (to - from) * w->count / w->time : to - from;
    const Piece     piece = piece_at(b, w, at, left, like.sound < 0);
    const int32_t   lasts = w->count ? piece.lasts * w->time / w->count : piece.lasts;
    RlSymbol *const s     = &b->symbol[b->symbols++];
    *s                    = like;
    s->at                 = from;
    s->lasts              = lasts;
    s->value              = piece.value;
    s->dot                = piece.dot;
    s->tuplet             = w->count;
    s->group              = w->count ? (uint8_t)(w - b->window + 1) : 0;
    s->into               = like.sound >= 0; /* sound_write() sets that of the last one */
    s->from               = like.from || from != like.at;
    from += lasts;
  }
}

static void
sound_write(Bar *const b, const int32_t from, const int32_t to, const int sound, const bool before,
            const bool behind)
{
  const int first = b->symbols;
  for (int32_t at = from; at < to;) {
    const Window *const w    = window_at(b, at);
    int                 last = (int)(w - b->window);
    while (!w->count && last + 1 < b->windows && !b->window[last + 1].count) {
      ++last; /* a value may span several plain beats */
    }
    const int32_t  end  = b->window[last].to < to ? b->window[last].to : to;
    const RlSymbol like = {.at = from, .sound = (int16_t)sound, .from = before};
    stretch_write(b, w, at, end, like);
    at = end;
  }
  if (b->symbols > first && sound >= 0) {
    b->symbol[b->symbols - 1].into = behind;
  }
}

/* ---- beams ---- */

/* The number of the group that a symbol may be beamed in: a felt beat; in simple meters of eighths
   pairs of beats, the last three together if they are odd; a whole tuplet. */
static int
beam_of(const Bar *const b, const RlSymbol *const s)
{
  const int beat = s->at / b->beat;
  if (s->group) {
    return BEATS_MAX + s->group;
  }
  if (b->compound || b->beat >= RL_TICKS) {
    return beat;
  }
  const int pairs = b->beats / 2;
  return beat / 2 < pairs ? beat / 2 : pairs - 1;
}

static void
beams_join(Bar *const b)
{
  uint8_t beam = 0;
  for (int i = 0; i < b->symbols;) {
    int n = 1;
    while (i + n < b->symbols && b->symbol[i].sound >= 0 && b->symbol[i + n].sound >= 0 &&
           b->symbol[i].value >= RL_EIGHTH_NOTE && b->symbol[i + n].value >= RL_EIGHTH_NOTE &&
           beam_of(b, &b->symbol[i]) == beam_of(b, &b->symbol[i + n])) {
      ++n;
    }
    beam = (uint8_t)(beam + (n > 1));
    for (int k = 0; k < n && n > 1; ++k) {
      b->symbol[i + k].beam = beam;
    }
    i += n;
  }
}

/* ---- a bar ---- */

int
rl_rhythm_write(const int beats, const int unit, const RlSound *const sounds, const int count,
                RlSymbol *const symbols)
{
  Bar b = {.length   = WHOLE / unit * beats,
           .beat     = rl_rhythm_beat(beats, unit),
           .unit     = WHOLE / unit,
           .beats    = (int)rl_meter_felt(beats, unit),
           .compound = compound(beats, unit),
           .symbol   = symbols};
  assert(beats >= 1 && beats <= RL_BAR_BEATS_MAX && unit >= 1 && unit <= 32);
  assert(count >= 0 && count <= RL_SOUNDS_MAX);
  int32_t edge[EDGES_MAX];
  int     edges = 0;
  for (int i = 0; i < count && i < RL_SOUNDS_MAX; ++i) {
    edge[edges++] = sounds[i].at;
    edge[edges++] = sounds[i].at + sounds[i].lasts;
  }
  windows_cut(&b, edge, edges);
  int32_t at = 0;
  for (int i = 0; i < count && i < RL_SOUNDS_MAX; ++i) {
    const int32_t end  = sounds[i].at + sounds[i].lasts;
    const bool    tied = sounds[i].at <= -LEAST;
    const bool    over = end >= b.length + LEAST;
    const int32_t from = rounded(&b, sounds[i].at);
    const int32_t to   = rounded(&b, end);
    if (to > from && from >= at) {
      sound_write(&b, at, from, -1, false, false);
      sound_write(&b, from, to, i, tied, over);
      at = to;
    }
  }
  sound_write(&b, at, b.length, -1, false, false);
  beams_join(&b);
  return b.symbols;
}

/* ---- counting aloud ---- */

int
rl_rhythm_count(const int beats, const int unit, const int beat, const RlSymbol *const symbols,
                const int count)
{
  static const int parts[2][3] = {{2, 4, 3}, {3, 3, 3}};
  const int32_t    length      = rl_rhythm_beat(beats, unit);
  const bool       three       = compound(beats, unit);
  const int32_t    from        = beat * length;
  int32_t          edge[RL_SYMBOLS_MAX];
  int              edges = 0;
  for (int i = 0; i < count; ++i) {
    if (symbols[i].at > from && symbols[i].at < from + length) {
      edge[edges++] = symbols[i].at;
    }
  }
  for (int i = 0; i < 3 && edges; ++i) {
    if (!off_grid(edge, edges, from, from + length, length / parts[three][i])) {
      return parts[three][i];
    }
  }
  return !edges ? 1 : three ? 3 : 4;
}

const char *
rl_rhythm_word(const int parts, const int part)
{
  static const char *const words[5][4] = {
    [2] = {NULL, "&"}, [3] = {NULL, "trip", "let"}, [4] = {NULL, "e", "&", "a"}};
  assert(parts >= 1 && parts <= 4 && part >= 0 && part < parts);
  return words[parts][part];
}
