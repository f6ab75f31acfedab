/* SPDX-License-Identifier: ISC */
#include "core/arrange/tab_grips.h"

/* What a hole adds to a bend: 4 is the easiest, 3 asks for the finest ear, the last blow bends for
   the most force. */
static const uint8_t bend_hole[RL_HOLES] = {0, 1, 2, 0, 1, 1, 1, 1, 1, 2};

static const uint8_t bend_cost[] = {0, RL_TAB_BEND_1, RL_TAB_BEND_2, RL_TAB_BEND_3};

enum {
  OCTAVES = 5, /* a note is moved by, at most */
  NEAR    = 6  /* semitones from a note to what replaces it, at most */
};

_Static_assert(RL_PHRASE_TOGETHER == 3, "bits() counts as many");

typedef RlTabFit   Fit;
typedef RlTabOnset Onset;

/* ---- places ---- */

void
rl_tab_places_find(const Fit *const f)
{
  RlTabWorkspace *const w = f->workspace;
  w->doubles              = 0;
  for (int pitch = 0; pitch < 128; ++pitch) {
    w->on[pitch].count = 0;
    w->on[pitch].reeds = 0;
    w->on[pitch].bound = RL_TAB_PLACES;
  }
  for (int hole = 0; hole < RL_HOLES; ++hole) {
    for (int how = 0; how < RL_TECHNIQUES; ++how) {
      const uint8_t note = f->harp->note[hole][how];
      const int     n    = w->on[note & 127U].count;
      if (note && note < 128 && rl_player_can(f->player, (RlTechnique)how) && n < RL_TAB_PLACES) {
        w->on[note].hole[n]      = (uint8_t)hole;
        w->on[note].technique[n] = (uint8_t)how;
        w->on[note].count        = (uint8_t)(n + 1);
        if (how <= RL_DRAW && ++w->on[note].reeds == 2 && w->doubles < RL_TAB_DOUBLES) {
          w->pitch[w->doubles++] = note;
        }
      }
    }
  }
}

void
rl_tab_doubles_bind(const Fit *const f, const int reeds)
{
  for (int d = 0; d < f->workspace->doubles; ++d) {
    const int pitch   = f->workspace->pitch[d];
    int       to_skip = reeds >> d & 1;
    int       at      = 0;
    while (f->workspace->on[pitch].technique[at] > RL_DRAW || to_skip-- > 0) {
      ++at;
    }
    f->workspace->on[pitch].bound = (uint8_t)at;
  }
}

static bool
reached(const Fit *const f, const int pitch)
{
  return pitch >= 0 && pitch < 128 && f->workspace->on[pitch].count > 0;
}

/* Does the hole bend further down from there, for this player? */
static bool
deeper(const Fit *const f, const int hole, const int how, const bool for_player)
{
  const bool draws = rl_technique_draws((RlTechnique)how);
  const int  depth = rl_technique_bend((RlTechnique)how);
  const int  next  = (draws ? RL_DRAW_1 : RL_BLOW_1) + depth;
  return how != RL_OVERBLOW && how != RL_OVERDRAW && depth < 3 && f->harp->note[hole][next] &&
         (!for_player || rl_player_can(f->player, (RlTechnique)next));
}

static int
place_cost(const Fit *const f, const int hole, const int how)
{
  const int  bend = rl_technique_bend((RlTechnique)how);
  const bool over = how == RL_OVERBLOW || how == RL_OVERDRAW;
  const bool held = bend && deeper(f, hole, how, false);
  const int  blow = bend && !rl_technique_draws((RlTechnique)how) ? RL_TAB_BLOW_BEND : 0;
  return (over ? RL_TAB_OVER : 0) +
         (bend ? bend_cost[bend & 3] + bend_hole[(unsigned)hole % RL_HOLES] : 0) +
         (held ? RL_TAB_HELD : 0) + blow;
}

/* ---- grips ---- */

/* Does another unbent reed of this pitch lie on the draw? */
static bool
drawn_elsewhere(const Fit *const f, const int pitch)
{
  for (int i = 0; i < f->workspace->on[pitch].count; ++i) {
    if (f->workspace->on[pitch].technique[i] == RL_DRAW) {
      return true;
    }
  }
  return false;
}

/* Common practice, no source. What it costs to blow the chord's root where it could be drawn: drawn
   it can be bent into, held and shaken. */
static int
home_cost(const Fit *const f, const RlNote *const wanted, const int pitch, const int how)
{
  const RlHarmony *const h   = &f->over[wanted->chord];
  const bool             end = wanted == &f->notes[f->count - 1];
  if (how != RL_BLOW || !h->sounding || rl_pitch_class(pitch - rl_harmony_root(h)) ||
      !drawn_elsewhere(f, pitch)) {
    return 0;
  }
  return RL_TAB_HOME + (end ? RL_TAB_HOME_END : 0);
}

/* Is a pitch bound to one of its reeds and played otherwise? */
static bool
other_way(const Fit *const f, const int pitch, const int hole, const int how)
{
  const int at = f->workspace->on[pitch].bound;
  return at < RL_TAB_PLACES &&
         (f->workspace->on[pitch].hole[at] != hole || f->workspace->on[pitch].technique[at] != how);
}

/* Adds a grip, with what its highest note costs for how `wanted` should be played. */
static void
grip_add(const Fit *const f, const RlNote *const wanted, RlGrip grip)
{
  RlGrip *const to    = f->workspace->grip[0];
  const int     top   = grip.notes - 1;
  const int     hole  = grip.hole[top];
  const int     how   = grip.technique[top];
  const int     pitch = grip.note[top];
  grip.cost +=
    home_cost(f, wanted, pitch, how) + (other_way(f, pitch, hole, how) ? RL_TAB_OTHER_WAY : 0);
  if ((wanted->articulation & RL_ARTICULATION_SCOOP) && !deeper(f, hole, how, true)) {
    grip.cost += RL_TAB_SCOOP;
    grip.marks |= RL_TAB_NO_SCOOP;
  }
  if ((wanted->articulation & RL_ARTICULATION_BEND) && !rl_technique_bend((RlTechnique)how)) {
    grip.cost += RL_TAB_BENT;
    grip.marks |= RL_TAB_NO_BEND;
  }
  if (f->workspace->grips[0] < RL_TAB_CHOICES) {
    to[f->workspace->grips[0]++] = grip;
  }
}

static void
single_add(const Fit *const f, const RlNote *const wanted, const int pitch, const int octaves,
           const int cost, const int marks)
{
  for (int i = 0; i < f->workspace->on[pitch].count; ++i) {
    const int hole = f->workspace->on[pitch].hole[i];
    const int how  = f->workspace->on[pitch].technique[i];
    grip_add(f, wanted,
             (RlGrip){.notes     = 1,
                      .hole      = {(uint8_t)hole},
                      .technique = {(uint8_t)how},
                      .note      = {(uint8_t)pitch},
                      .octaves   = (int8_t)octaves,
                      .marks     = (uint8_t)marks,
                      .cost      = cost + place_cost(f, hole, how)});
  }
}

/* The cost of playing `pitch` instead of a note `away` semitones from it; -1 if the harp does not
   have it, or if it is of neither chord nor scale. */
static int
substitute(const Fit *const f, const RlHarmony *const h, const int pitch, const int away)
{
  const int price = RL_TAB_REPLACED + away * RL_TAB_AWAY;
  const int above = pitch - rl_harmony_root(h);
  if (!reached(f, pitch)) {
    return -1;
  }
  if (!h->sounding || rl_quality_tone(h->quality, above) != RL_DEGREES) {
    return price;
  }
  return rl_class_set_has(h->scale, above) ? price + RL_TAB_NO_TONE : -1;
}

/* The nearest substitutes, below and above. */
static void
substitutes_add(const Fit *const f, const RlNote *const wanted, const int pitch, const int octaves,
                const int cost)
{
  const RlHarmony *const h = &f->over[wanted->chord];
  for (int away = 1, found = 0; away <= NEAR && !found; ++away) {
    for (int side = -1; side <= 1; side += 2) {
      const int price = substitute(f, h, pitch + side * away, away);
      if (price >= 0) {
        single_add(f, wanted, pitch + side * away, octaves, cost + price, RL_TAB_IS_REPLACED);
        found = 1;
      }
    }
  }
}

static void
singles_add(const Fit *const f, const RlNote *const wanted, const int octaves, const int cost)
{
  const int pitch = wanted->pitch + 12 * octaves;
  if (reached(f, pitch)) {
    single_add(f, wanted, pitch, octaves, cost, 0);
  } else if (!f->whole) {
    substitutes_add(f, wanted, pitch, octaves, cost);
  }
}

/* ---- notes at once ---- */

/* Can one mouth reach all holes? They lie side by side, or are two an octave apart. */
static bool
mouth_reaches(const RlGrip *const g)
{
  int low = RL_HOLES, high = -1, holes = 0;
  for (int i = 0; i < g->notes; ++i) {
    low  = g->hole[i] < low ? g->hole[i] : low;
    high = g->hole[i] > high ? g->hole[i] : high;
    holes |= 1 << g->hole[i];
  }
  const int  wide   = high - low;
  const bool octave = g->notes == 2 && g->note[1] - g->note[0] == 12 && wide <= 4;
  return octave || (wide == g->notes - 1 && holes == ((2 << wide) - 1) << low);
}

/* Tries every hole for the notes from `at` on, all in one breath, and adds each grip found. */
static void
holes_add(const Fit *const f, const RlNote *const top, RlGrip *const g, const int at)
{
  if (at == g->notes || at == RL_PHRASE_TOGETHER) {
    RlGrip done = *g;
    if (mouth_reaches(g)) {
      const int last = g->notes - 1;
      const int apart =
        g->hole[last] > g->hole[0] ? g->hole[last] - g->hole[0] : g->hole[0] - g->hole[last];
      done.cost +=
        place_cost(f, g->hole[last], g->technique[last]) + (apart > last ? RL_TAB_SPLIT : 0);
      grip_add(f, top, done);
    }
    return;
  }
  for (int hole = 0; hole < RL_HOLES; ++hole) {
    if (f->harp->note[hole][g->technique[at]] == g->note[at]) {
      g->hole[at] = (uint8_t)hole;
      holes_add(f, top, g, at + 1);
    }
  }
}

static int
bits(const int set)
{
  return (set & 1) + (set >> 1 & 1) + (set >> 2 & 1);
}

/* The grips for those notes of the chord that are in the set `kept`, blown and drawn. */
static void
subset_add(const Fit *const f, const Onset *const c, const int kept, const int octaves)
{
  for (int how = RL_BLOW; how <= RL_DRAW; ++how) {
    RlGrip g = {.octaves = (int8_t)octaves};
    for (int i = 0; i < c->count; ++i) {
      const int pitch = c->note[i].pitch + 12 * octaves;
      if ((kept >> i & 1) && pitch > 0 && pitch < 128) {
        g.technique[g.notes] = (uint8_t)how;
        g.note[g.notes++]    = (uint8_t)pitch;
      }
    }
    g.cost = (c->count - g.notes) * RL_TAB_LEFT_OUT;
    if (g.notes == bits(kept)) {
      holes_add(f, &c->note[c->count - 1], &g, 0);
    }
  }
}

/* The grips for as many notes as one mouth can play, the highest always. */
static void
together_add(const Fit *const f, const Onset *const c, const int octaves)
{
  const int top    = 1 << (c->count - 1);
  const int before = f->workspace->grips[0];
  const int least  = f->whole ? c->count : 2; /* of notes kept */
  for (int size = c->count; size >= least && f->workspace->grips[0] == before; --size) {
    for (int kept = top; kept < 2 * top; ++kept) {
      if (bits(kept) == size) {
        subset_add(f, c, kept, octaves);
      }
    }
  }
  if (f->workspace->grips[0] == before && !f->whole) {
    singles_add(f, &c->note[c->count - 1], octaves, (c->count - 1) * RL_TAB_LEFT_OUT);
  }
}

void
rl_tab_grips_find(const Fit *const f, const Onset *const c)
{
  f->workspace->grips[0] = 0;
  for (int far = 0; far <= (f->whole ? 0 : OCTAVES); ++far) {
    for (int side = -1; side <= (far ? 1 : -1); side += 2) {
      if (c->count == 1) {
        singles_add(f, c->note, side * far, 0);
      } else {
        together_add(f, c, side * far);
      }
    }
  }
  if (!f->workspace->grips[0] && !f->whole) {
    f->workspace->grip[0][0] = (RlGrip){.cost = c->count * RL_TAB_LEFT_OUT};
    f->workspace->grips[0]   = 1;
  }
}
