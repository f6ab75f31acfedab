/* SPDX-License-Identifier: ISC */
#include "core/arrange/target_line.h"

#include <assert.h>
#include <string.h>

_Static_assert(RL_CHORD_KINDS <= UINT16_MAX, "kind_of holds one, and RL_CHORD_KINDS for none");

int
rl_target_line_step(const RlTarget from, const RlTarget to)
{
  const int semitones = from.note > to.note ? from.note - to.note : to.note - from.note;
  const int holes     = from.hole > to.hole ? from.hole - to.hole : to.hole - from.hole;
  return semitones * RL_COST_SEMITONE + holes * RL_COST_HOLE + (semitones ? 0 : RL_COST_STAY);
}

int
rl_target_line_landing(const RlTarget target)
{
  static const int8_t by_function[] = {
    [RL_FUNCTION_ROOT]    = RL_COST_ROOT,
    [RL_FUNCTION_THIRD]   = RL_COST_GUIDE_TONE,
    [RL_FUNCTION_FIFTH]   = RL_COST_FIFTH,
    [RL_FUNCTION_SEVENTH] = RL_COST_GUIDE_TONE,
    [RL_FUNCTION_OTHER]   = -1,
  };
  const int  base = by_function[rl_degree_function((RlDegree)target.degree)];
  const bool over = target.technique == RL_OVERBLOW || target.technique == RL_OVERDRAW;
  const int  bend = rl_technique_bend((RlTechnique)target.technique);
  const int  high = target.hole > 6 ? RL_COST_HIGH : 0;
  return base < 0 ? base : base + bend * RL_COST_BEND + (over ? RL_COST_OVER : 0) + high;
}

/* Every target of a chord that the player reaches, lower holes first. */
static void
landings_find(RlLandings *const to, const RlHarmony *const harmony, const RlHarp *const harp,
              const RlPlayer player)
{
  to->count = 0;
  for (int hole = 0; harmony->sounding && hole < RL_HOLES; ++hole) {
    for (int how = 0; how < RL_TECHNIQUES; ++how) {
      const uint8_t  note = harp->note[hole][how];
      const RlDegree degree =
        note ? rl_quality_tone(harmony->quality, note - rl_harmony_root(harmony)) : RL_DEGREES;
      const RlTarget target = {(uint8_t)(hole + 1), (uint8_t)how, (uint8_t)degree, note};
      if (degree == RL_DEGREES || !rl_player_can(player, (RlTechnique)how) ||
          rl_target_line_landing(target) < 0 || to->count == RL_CANDIDATES_MAX) {
        continue;
      }
      to->cost[to->count] = (uint8_t)rl_target_line_landing(target);
      to->at[to->count++] = target;
    }
  }
}

/* Which of the degrees, each of another pitch, is in the quality: from 1, the sum if more than one
   is, 0 for none. */
static int
which_of(const RlQuality quality, const RlDegree *const degrees, const int count)
{
  int which = 0;
  for (int i = 0; i < count; ++i) {
    which += (quality >> degrees[i]) & 1 ? i + 1 : 0;
  }
  return which;
}

/* The third, fifth and seventh as one number below RL_GUIDES. A quality has one third and one
   seventh at most, and b5 and #5 together at most. */
static int
guides_of(const RlQuality quality)
{
  static const RlDegree thirds[]   = {RL_DEGREE_2, RL_DEGREE_FLAT_3, RL_DEGREE_3, RL_DEGREE_4};
  static const RlDegree fifths[]   = {RL_DEGREE_FLAT_5, RL_DEGREE_SHARP_5, RL_DEGREE_5};
  static const RlDegree sevenths[] = {RL_DEGREE_DOUBLE_FLAT_7, RL_DEGREE_FLAT_7, RL_DEGREE_7};
  int                   fifth      = which_of(quality, fifths, 3);
  const bool            both = (quality >> RL_DEGREE_FLAT_5) & (quality >> RL_DEGREE_SHARP_5) & 1;
  fifth                      = both ? 4 : fifth;
  const int guides =
    (which_of(quality, thirds, 4) * 5 + fifth) * 4 + which_of(quality, sevenths, 3);
  assert(guides < RL_GUIDES);
  return guides;
}

/* Finds the kind of chord (root, third, fifth and seventh) of every change, and the landings of
   each kind once.*/
static void
kinds_find(const RlForm *const form, const RlKey key, const RlHarp *const harp,
           const RlPlayer player, RlTargetLineWorkspace *const workspace)
{
  bool known[RL_CHORD_KINDS] = {false};
  for (int i = 0; i < form->changes + form->ending_changes; ++i) {
    const RlHarmony h     = rl_harmony_of(rl_form_chord(form, i), key);
    const int       kind  = h.sounding ? guides_of(h.quality) * 12 + rl_harmony_root(&h) : -1;
    workspace->kind_of[i] = (uint16_t)(kind < 0 ? RL_CHORD_KINDS : kind);
    if (kind >= 0 && !known[kind]) {
      landings_find(&workspace->kind[kind], &h, harp, player);
      known[kind] = true;
    }
  }
}

static const RlLandings *
landings_of(const RlTargetLineWorkspace *const workspace, const int link)
{
  return &workspace->kind[workspace->kind_of[workspace->chain[link]]];
}

/* Lists the changes from `from` up to (not incl.) `to` that have landings; returns how many. */
static int
chain_fill(RlTargetLineWorkspace *const workspace, const int from, const int to)
{
  int links = 0;
  for (int i = from; i < to; ++i) {
    if (workspace->kind_of[i] < RL_CHORD_KINDS && workspace->kind[workspace->kind_of[i]].count) {
      workspace->chain[links++] = (uint16_t)i;
    }
  }
  return links;
}

/* Dynamic programming from the chain's end to link 0: what the cheapest way costs from each landing
   of link 0 to the end, and on to `home` if given. Fills in `next`; of equal ways the one with
   lower holes. */
static void
costs_to_go(RlTargetLineWorkspace *const workspace, const int links, const RlTarget *const home,
            uint32_t cost[RL_CANDIDATES_MAX])
{
  const RlLandings *here = landings_of(workspace, links - 1);
  for (int i = 0; i < here->count; ++i) {
    cost[i] = here->cost[i] + (home ? (uint32_t)rl_target_line_step(here->at[i], *home) : 0U);
  }
  for (int link = links - 2; link >= 0; --link) {
    const RlLandings *const there = here;
    uint32_t                beyond[RL_CANDIDATES_MAX];
    memcpy(beyond, cost, sizeof(beyond));
    here = landings_of(workspace, link);
    for (int i = 0; i < here->count; ++i) {
      uint32_t best = UINT32_MAX;
      for (int k = 0; k < there->count; ++k) {
        const uint32_t way = beyond[k] + (uint32_t)rl_target_line_step(here->at[i], there->at[k]);
        if (way < best) {
          best                     = way;
          workspace->next[link][i] = (uint8_t)k;
        }
      }
      cost[i] = here->cost[i] + best;
    }
  }
}

/* Follows `next` from landing `at` of link 0. */
static void
way_follow(const RlTargetLineWorkspace *const workspace, const int links, int at,
           RlTargetLine *const line)
{
  for (int link = 0; link < links; ++link) {
    line->target[workspace->chain[link]] = landings_of(workspace, link)->at[at];
    at                                   = link + 1 < links ? workspace->next[link][at] : at;
  }
}

/* The cheapest cycle: the best for each landing of link 0 that returns there. */
static void
cycle_find(RlTargetLineWorkspace *const workspace, const int links, RlTargetLine *const line)
{
  uint32_t                cost[RL_CANDIDATES_MAX] = {0};
  uint32_t                best                    = UINT32_MAX;
  int                     start                   = 0;
  const RlLandings *const first                   = landings_of(workspace, 0);
  for (int i = 0; i < first->count; ++i) {
    costs_to_go(workspace, links, &first->at[i], cost);
    start = cost[i] < best ? i : start;
    best  = cost[i] < best ? cost[i] : best;
  }
  costs_to_go(workspace, links, &first->at[start], cost);
  way_follow(workspace, links, start, line);
}

/* The cheapest path behind target `before`, if there is one. */
static void
path_find(RlTargetLineWorkspace *const workspace, const int links, const RlTarget before,
          RlTargetLine *const line)
{
  uint32_t                cost[RL_CANDIDATES_MAX] = {0};
  uint32_t                best                    = UINT32_MAX;
  int                     start                   = 0;
  const RlLandings *const first                   = landings_of(workspace, 0);
  costs_to_go(workspace, links, NULL, cost);
  for (int i = 0; i < first->count; ++i) {
    const uint32_t way =
      cost[i] + (before.hole ? (uint32_t)rl_target_line_step(before, first->at[i]) : 0U);
    start = way < best ? i : start;
    best  = way < best ? way : best;
  }
  way_follow(workspace, links, start, line);
}

/* The last target at or before a change. */
static RlTarget
target_before(const RlTargetLine *const line, int change)
{
  while (change > 0 && !line->target[change].hole) {
    --change;
  }
  return line->target[change];
}

void
rl_target_line_find(const RlForm *const form, const RlKey key, const RlHarp *const harp,
                    const RlPlayer player, RlTargetLineWorkspace *const workspace,
                    RlTargetLine *const line)
{
  assert(form->changes >= 1);
  const int  last  = form->changes - 1;
  const int  end   = form->changes + form->ending_changes;
  const bool wraps = last > 0 && rl_chord_same(rl_form_chord(form, 0), rl_form_chord(form, last));
  memset(line, 0, sizeof(*line));
  kinds_find(form, key, harp, player, workspace);
  const int cycle = chain_fill(workspace, 0, wraps ? last : form->changes);
  if (cycle) {
    cycle_find(workspace, cycle, line);
  }
  if (wraps) {
    line->target[last] = line->target[0];
  }
  if (last + 1 == end) {
    return;
  }
  const bool     goes_on = rl_chord_same(rl_form_chord(form, last), rl_form_chord(form, last + 1));
  const RlTarget before  = target_before(line, last);
  if (goes_on) {
    line->target[last + 1] = line->target[last];
  }
  const int ending = chain_fill(workspace, last + 1 + goes_on, end);
  if (ending) {
    path_find(workspace, ending, before, line);
  }
}
