/* SPDX-License-Identifier: ISC */
#include "core/arrange/tab_grips.h"

#include <assert.h>
#include <string.h>

enum { NEVER = 1 << 24 /* above any cost */ };

_Static_assert(RL_TAB_CHOICES <= UINT8_MAX + 1, "RlTabWorkspace.from holds an index");

typedef RlTabFit   Fit;
typedef RlTabOnset Onset;

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
  const bool breath = rl_technique_draws((RlTechnique)a->technique[x]) !=
                      rl_technique_draws((RlTechnique)b->technique[y]);
  const int move =
    holes * RL_TAB_HOLE + (holes > 2 ? holes - 2 : 0) * RL_TAB_FAR + breath * RL_TAB_BREATH;
  const bool again = !holes && !breath && a->technique[x] != b->technique[y];
  const int  apart = distance(a->octaves, b->octaves) * RL_TAB_BREAK;
  if (rest) {
    return apart + move / 2;
  }
  return apart + move + again * RL_TAB_AGAIN + (slur && !slurred(holes, breath) ? RL_TAB_SLUR : 0);
}

static Onset
onset_at(const RlNote *const notes, const int count, const int at)
{
  Onset c = {&notes[at], 1};
  while (at + c.count < count && c.count < RL_PHRASE_TOGETHER &&
         notes[at + c.count].at == notes[at].at) {
    ++c.count;
  }
  return c;
}

/* Is there a rest between two onsets? */
static bool
rests(const Onset *const a, const Onset *const b)
{
  return b->note->at - (a->note->at + a->note->lasts) >= RL_TAB_REST;
}

static bool
slurs(const Onset *const a)
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
next_grips(const Fit *const f, const Onset *const before, const Onset *const now,
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
grip_write(const Onset *const c, const RlGrip *const g, const bool no_slur, RlTab *const tab)
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
slur_lost(const Onset *const before, const RlGrip *const a, const Onset *const now,
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
  RlGrip later = {0};
  Onset  after = {NULL, 0};
  for (int end = count; end > 0;) {
    int at = end - 1;
    while (at > 0 && f->notes[at - 1].at == f->notes[end - 1].at && end - at < RL_PHRASE_TOGETHER) {
      --at;
    }
    const Onset c = onset_at(f->notes, end, at);
    rl_tab_grips_find(f, &c);
    const RlGrip grip = f->workspace->grip[0][best];
    grip_write(&c, &grip, after.count && slur_lost(&c, &grip, &after, &later), &tab[at]);
    best  = f->workspace->from[at][best];
    later = grip;
    after = c;
    end   = at;
  }
}

/* ---- the fit ---- */

/* The grips of the last onset, with what the best way up to each costs; returns the best one, -1 if
   an onset has none. */
static int
search(const Fit *const f)
{
  RlTabWorkspace *const w      = f->workspace;
  Onset                 before = {NULL, 0};
  int                   best   = 0;
  for (int at = 0; at < f->count;) {
    const Onset now = onset_at(f->notes, f->count, at);
    rl_tab_grips_find(f, &now);
    if (!w->grips[0]) {
      return -1;
    }
    if (!at) {
      first_grips(f);
    } else {
      next_grips(f, &before, &now, w->from[at]);
    }
    grips_keep(w);
    before = now;
    at += now.count;
  }
  for (int i = 1; i < w->grips[1]; ++i) {
    best = w->grip[1][i].cost < w->grip[1][best].cost ? i : best;
  }
  return best;
}

static int32_t
cost_of(const Fit *const f, const int best)
{
  return f->workspace->grip[1][best].cost;
}

/* Is each double played one way? Only the highest note of an onset counts. */
static bool
one_way_each(const Fit *const f, const RlTab *const tab)
{
  const RlTab *first[RL_TAB_DOUBLES] = {NULL};
  for (int i = 0; i < f->count; ++i) {
    const bool top = i + 1 == f->count || f->notes[i].at != f->notes[i + 1].at;
    for (int d = 0; top && tab[i].hole && d < f->workspace->doubles; ++d) {
      if (tab[i].note != f->workspace->pitch[d]) {
        continue;
      }
      if (first[d] && (first[d]->hole != tab[i].hole || first[d]->technique != tab[i].technique)) {
        return false;
      }
      first[d] = first[d] ? first[d] : &tab[i];
    }
  }
  return true;
}

/* The best way, by one search for every way to bind the doubles. */
static int32_t
bound_fit(const Fit *const f, RlTab *const tab)
{
  const int all   = 1 << f->workspace->doubles;
  int32_t   least = NEVER;
  int       reeds = 0;
  for (int i = 0; i < all; ++i) {
    rl_tab_doubles_bind(f, i);
    const int32_t cost = cost_of(f, search(f));
    reeds              = cost < least ? i : reeds;
    least              = cost < least ? cost : least;
  }
  rl_tab_doubles_bind(f, reeds);
  backtrack(f, f->count, search(f), tab);
  return least;
}

static int32_t
fit(const Fit *const f, RlTab *const tab)
{
  assert(f->count >= 1 && f->count <= RL_PHRASE_NOTES_MAX);
  rl_tab_places_find(f);
  const int best = search(f);
  if (best < 0) {
    return -1;
  }
  const int32_t cost = cost_of(f, best);
  backtrack(f, f->count, best, tab);
  /* Binding the doubles can only cost more: what needs none of it is the best with it. */
  return one_way_each(f, tab) ? cost : bound_fit(f, tab);
}

int32_t
rl_tab_fit(const RlNote *const notes, const int count, const RlHarmony *const over,
           const RlHarp *const harp, const RlPlayer player, RlTabWorkspace *const workspace,
           RlTab *const tab)
{
  return fit(&(Fit){notes, count, over, harp, player, workspace, false}, tab);
}

int32_t
rl_tab_fit_whole(const RlNote *const notes, const int count, const RlHarmony *const over,
                 const RlHarp *const harp, const RlPlayer player, RlTabWorkspace *const workspace,
                 RlTab *const tab)
{
  return fit(&(Fit){notes, count, over, harp, player, workspace, true}, tab);
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
