/* SPDX-License-Identifier: ISC */
#include "core/arrange/tab.h"

#include <assert.h>
#include <string.h>

/* What a hole adds to a bend: 4 is the easiest, 3 asks for the finest ear, the last blow bends for
   the most force. */
static const uint8_t bend_hole[RL_HOLES] = {0, 1, 2, 0, 1, 1, 1, 1, 1, 2};

static const uint8_t bend_cost[] = {0, RL_TAB_BEND_1, RL_TAB_BEND_2, RL_TAB_BEND_3};

enum {
  OCTAVES = 5,      /* a note is moved by, at most */
  NEAR    = 6,      /* semitones from a note to what replaces it, at most */
  NEVER   = 1 << 24 /* above any cost */
};

_Static_assert(RL_TAB_CHOICES <= UINT8_MAX + 1, "RlTabWorkspace.from holds an index");
_Static_assert(RL_PHRASE_TOGETHER == 3, "bits() counts as many");

/* What rl_tab_fit() was called with. */
typedef struct {
  const RlNote    *notes;
  const RlHarmony *over;
  const RlHarp    *harp;
  RlPlayer         player;
  RlTabWorkspace  *workspace;
} Fit;

/* The notes of one onset, the highest last. */
typedef struct {
  const RlNote *note;
  int           count;
} Chord;

/* ---- places ---- */

/* Where each pitch is on this harp, for this player. */
static void
places_find(const Fit *const f)
{
  for (int pitch = 0; pitch < 128; ++pitch) {
    f->workspace->on[pitch].count = 0;
  }
  for (int hole = 0; hole < RL_HOLES; ++hole) {
    for (int how = 0; how < RL_TECHNIQUES; ++how) {
      const uint8_t note = f->harp->note[hole][how];
      const int     n    = f->workspace->on[note & 127U].count;
      if (note && note < 128 && rl_player_can(f->player, (RlTechnique)how) && n < RL_TAB_PLACES) {
        f->workspace->on[note].hole[n]      = (uint8_t)hole;
        f->workspace->on[note].technique[n] = (uint8_t)how;
        f->workspace->on[note].count        = (uint8_t)(n + 1);
      }
    }
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
  const int  high = hole >= 6 ? RL_TAB_HIGH : 0;
  const bool held = bend && deeper(f, hole, how, false);
  const int  blow = bend && !rl_technique_draws((RlTechnique)how) ? RL_TAB_BLOW_BEND : 0;
  return high + (over ? RL_TAB_OVER : 0) +
         (bend ? bend_cost[bend & 3] + bend_hole[(unsigned)hole % RL_HOLES] : 0) +
         (held ? RL_TAB_HELD : 0) + blow;
}

/* ---- grips ---- */

static const RlGrip silence = {.cost = 0};

/* Adds a grip, with the cost of a scoop or bend that its highest note should have and cannot. */
static void
grip_add(const Fit *const f, const RlNote *const wanted, RlGrip grip)
{
  RlGrip *const to  = f->workspace->grip[0];
  const int     top = grip.notes - 1;
  const int     how = grip.technique[top];
  if ((wanted->articulation & RL_ARTICULATION_SCOOP) && !deeper(f, grip.hole[top], how, true)) {
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
  } else {
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
subset_add(const Fit *const f, const Chord *const c, const int kept, const int octaves)
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
together_add(const Fit *const f, const Chord *const c, const int octaves)
{
  const int top    = 1 << (c->count - 1);
  const int before = f->workspace->grips[0];
  for (int size = c->count; size > 1 && f->workspace->grips[0] == before; --size) {
    for (int kept = top; kept < 2 * top; ++kept) {
      if (bits(kept) == size) {
        subset_add(f, c, kept, octaves);
      }
    }
  }
  if (f->workspace->grips[0] == before) {
    singles_add(f, &c->note[c->count - 1], octaves, (c->count - 1) * RL_TAB_LEFT_OUT);
  }
}

/* Every way to play the notes of one onset, into grip[0]. Nearer octaves come first, lower before
   higher: of equal costs the first one is kept. */
static void
grips_find(const Fit *const f, const Chord *const c)
{
  f->workspace->grips[0] = 0;
  for (int far = 0; far <= OCTAVES; ++far) {
    for (int side = -1; side <= (far ? 1 : -1); side += 2) {
      if (c->count == 1) {
        singles_add(f, c->note, side * far, 0);
      } else {
        together_add(f, c, side * far);
      }
    }
  }
  if (!f->workspace->grips[0]) {
    f->workspace->grip[0][0]      = silence;
    f->workspace->grip[0][0].cost = c->count * RL_TAB_LEFT_OUT;
    f->workspace->grips[0]        = 1;
  }
}

/* ---- from onset to onset ---- */

static int
distance(const int a, const int b)
{
  return a > b ? a - b : b - a;
}

/* Can a slur be played over so many holes, with or without another breath? */
static bool
slurred(const int holes, const bool breath)
{
  return !breath && holes <= 1;
}

static int
step_cost(const RlGrip *const a, const RlGrip *const b, const bool slur, const bool rest)
{
  if (!a->notes || !b->notes) {
    return 0;
  }
  const int  x      = a->notes - 1;
  const int  y      = b->notes - 1;
  const int  holes  = distance(a->hole[x], b->hole[y]);
  const int  jump   = holes * RL_TAB_HOLE + (holes > 2 ? holes - 2 : 0) * RL_TAB_FAR;
  const bool breath = rl_technique_draws((RlTechnique)a->technique[x]) !=
                      rl_technique_draws((RlTechnique)b->technique[y]);
  const bool again = !holes && !breath && a->technique[x] != b->technique[y];
  const int  apart = distance(a->octaves, b->octaves) * RL_TAB_BREAK;
  if (rest) {
    return apart + jump / 2;
  }
  return apart + jump + breath * RL_TAB_BREATH + again * RL_TAB_AGAIN +
         (slur && !slurred(holes, breath) ? RL_TAB_SLUR : 0);
}

static Chord
chord_at(const RlNote *const notes, const int count, const int at)
{
  Chord c = {&notes[at], 1};
  while (at + c.count < count && c.count < RL_PHRASE_TOGETHER &&
         notes[at + c.count].at == notes[at].at) {
    ++c.count;
  }
  return c;
}

/* Is there a rest between two onsets? */
static bool
rests(const Chord *const a, const Chord *const b)
{
  return b->note->at - (a->note->at + a->note->lasts) >= RL_TAB_REST;
}

static bool
slurs(const Chord *const a)
{
  return a->note[a->count - 1].articulation & RL_ARTICULATION_SLUR;
}

static void
first_grips(const Fit *const f)
{
  for (int i = 0; i < f->workspace->grips[0]; ++i) {
    RlGrip *const g = &f->workspace->grip[0][i];
    g->cost += distance(g->octaves, 0) * RL_TAB_OCTAVE;
  }
}

/* The cheapest way to each grip of this onset from those of the one before. */
static void
next_grips(const Fit *const f, const Chord *const before, const Chord *const now,
           uint8_t *const from)
{
  const bool slur = slurs(before);
  const bool rest = rests(before, now);
  for (int i = 0; i < f->workspace->grips[0]; ++i) {
    RlGrip *const g    = &f->workspace->grip[0][i];
    int32_t       best = NEVER;
    for (int j = 0; j < f->workspace->grips[1]; ++j) {
      const RlGrip *const b    = &f->workspace->grip[1][j];
      const int32_t       cost = b->cost >= best ? NEVER : b->cost + step_cost(b, g, slur, rest);
      if (cost < best) {
        best    = cost;
        from[i] = (uint8_t)j;
      }
    }
    g->cost += best;
  }
}

static void
grips_keep(RlTabWorkspace *const workspace)
{
  memcpy(workspace->grip[1], workspace->grip[0], (size_t)workspace->grips[0] * sizeof(RlGrip));
  workspace->grips[1] = workspace->grips[0];
}

/* ---- backtracking ---- */

static void
grip_write(const Chord *const c, const RlGrip *const g, const bool no_slur, RlTab *const tab)
{
  for (int i = 0; i < c->count; ++i) {
    const int from = i - (c->count - g->notes); /* index in the grip if the lowest are left out */
    int       at   = -1;
    for (int k = 0; k < g->notes; ++k) {
      if (g->note[k] == c->note[i].pitch + 12 * g->octaves || (g->notes == 1 && from == k)) {
        at = k;
      }
    }
    tab[i] = at < 0 ? (RlTab){0}
                    : (RlTab){(uint8_t)(g->hole[at] + 1), g->technique[at], g->note[at], g->octaves,
                              (uint8_t)(g->marks | (no_slur ? RL_TAB_NO_SLUR : 0))};
  }
}

static bool
slur_lost(const Chord *const before, const RlGrip *const a, const Chord *const now,
          const RlGrip *const b)
{
  return slurs(before) && a->notes && b->notes &&
         step_cost(a, b, true, rests(before, now)) != step_cost(a, b, false, rests(before, now));
}

/* Follows the best way back from grip `best` of the last onset. Grips are not stored for all
   onsets: those of each are found again. */
static void
backtrack(const Fit *const f, const int count, int best, RlTab *const tab)
{
  RlGrip later = silence;
  Chord  after = {NULL, 0};
  for (int end = count; end > 0;) {
    int at = end - 1;
    while (at > 0 && f->notes[at - 1].at == f->notes[end - 1].at && end - at < RL_PHRASE_TOGETHER) {
      --at;
    }
    const Chord c = chord_at(f->notes, end, at);
    grips_find(f, &c);
    const RlGrip grip = f->workspace->grip[0][best];
    grip_write(&c, &grip, after.count && slur_lost(&c, &grip, &after, &later), &tab[at]);
    best  = f->workspace->from[at][best];
    later = grip;
    after = c;
    end   = at;
  }
}

int32_t
rl_tab_fit(const RlNote *const notes, const int count, const RlHarmony *const over,
           const RlHarp *const harp, const RlPlayer player, RlTabWorkspace *const workspace,
           RlTab *const tab)
{
  assert(count >= 1 && count <= RL_PHRASE_NOTES_MAX);
  const Fit f      = {notes, over, harp, player, workspace};
  Chord     before = {NULL, 0};
  int       best   = 0;
  places_find(&f);
  for (int at = 0; at < count;) {
    const Chord now = chord_at(notes, count, at);
    grips_find(&f, &now);
    if (!at) {
      first_grips(&f);
    } else {
      next_grips(&f, &before, &now, workspace->from[at]);
    }
    grips_keep(workspace);
    before = now;
    at += now.count;
  }
  for (int i = 1; i < workspace->grips[1]; ++i) {
    best = workspace->grip[1][i].cost < workspace->grip[1][best].cost ? i : best;
  }
  const int32_t cost = workspace->grip[1][best].cost;
  backtrack(&f, count, best, tab);
  return cost;
}

/* ---- which harp ---- */

void
rl_tab_rank(const RlNote *const notes, const int note_count, const RlHarmony *const over,
            const RlHarpChoice *const harps, const int count, const RlPlayer player,
            RlTabWorkspace *const workspace, RlTab *const tab, RlTabRank *const ranked)
{
  for (int i = 0; i < count; ++i) {
    const RlHarp harp = rl_harp_make(harps[i]);
    RlTabRank    rank = {.choice = harps[i]};
    rank.cost         = rl_tab_fit(notes, note_count, over, &harp, player, workspace, tab);
    for (int n = 0; n < note_count; ++n) {
      rank.replaced =
        (uint16_t)(rank.replaced + (!tab[n].hole || (tab[n].marks & RL_TAB_IS_REPLACED)));
    }
    int at = i;
    for (; at > 0 && ranked[at - 1].cost > rank.cost; --at) {
      ranked[at] = ranked[at - 1];
    }
    ranked[at] = rank;
  }
}
