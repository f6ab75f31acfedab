/* SPDX-License-Identifier: ISC */
#include "core/arrange/lane.h"

#include "core/harmony/lamps.h"

#include <assert.h>
#include <math.h>

_Static_assert(RL_PLANNED_MAX <= UINT8_MAX + 1, "RlLaneNote.planned holds an index");

/* ---- places ---- */

static double
quarters_to_ticks(const double quarters)
{
  return quarters * RL_TICKS;
}

RlPlace
rl_lane_place(const RlForm *const form, const double ticks, const bool ending)
{
  const double before =
    ending ? (form->choruses - 1) * form->starts[RL_AXIS_QUARTERS][form->bars] : 0;
  return rl_form_locate(form, RL_AXIS_QUARTERS, before + ticks / RL_TICKS, 1.0 / RL_TICKS);
}

static RlHarmony
harmony_at(const RlForm *const form, const RlKey key, const double ticks, const bool ending)
{
  const RlPlace place = rl_lane_place(form, ticks, ending);
  return rl_form_harmony(form, &place, key);
}

double
rl_lane_ticks(const RlForm *const form, const RlPlace *const place, const double beat)
{
  return quarters_to_ticks(rl_form_quarters(form, place, beat));
}

int
rl_lane_bars(const RlForm *const form, const RlPlace *const now, const int count,
             RlLaneBar *const bars)
{
  if (now->part == RL_PART_OVER) {
    return 0;
  }
  const bool nowhere = now->part == RL_PART_NOWHERE;
  double     at      = nowhere ? 0 : rl_lane_ticks(form, now, 0);
  int        n       = 0;
  for (; n < count; ++n) {
    const RlPlace place = rl_form_locate(form, RL_AXIS_QUARTERS, at / RL_TICKS, 1.0 / RL_TICKS);
    if (place.part == RL_PART_OVER) {
      return n;
    }
    const double length = quarters_to_ticks(place.beats * 4.0 / place.unit);
    bars[n]             = (RlLaneBar){place, at, at + length};
    at += length;
  }
  return n;
}

int
rl_lane_bars_in_loop(const RlForm *const form, const RlFormLoop *const loop,
                     const RlPlace *const now, const int count, RlLaneBar *const bars)
{
  static const double slack = 1e-3; /* of a bar */
  RlPlace             place = *now;
  int                 n     = 0;
  while (n < count && rl_lane_bars(form, &place, 1, bars + n)) {
    const double after = floor(rl_form_bars_to(form, &place)) + 1;
    const double at    = after < loop->to - slack ? after : loop->from;
    place              = rl_form_locate(form, RL_AXIS_BARS, at, slack);
    ++n;
  }
  return n;
}

/* ---- one phrase ---- */

static bool
in_ending(const RlPlanned *const p, const RlForm *const form)
{
  return p->bar > form->bars;
}

static int32_t
start_of(const RlPlanned *const p, const RlForm *const form)
{
  const RlBar *const bar  = &form->bar[p->bar - 1];
  const double       into = p->beat / 1000.0 * 4 / bar->unit;
  return (int32_t)lround(quarters_to_ticks(form->starts[RL_AXIS_QUARTERS][p->bar - 1] + into));
}

bool
rl_lane_move_to(const RlPlanned *const p, const RlForm *const form, const RlKey key,
                RlLaneWorkspace *const workspace)
{
  if (p->bar > form->bars + form->ending_bars || p->beat >= 1000 * form->bar[p->bar - 1].beats) {
    return false;
  }
  const RlPhrase *const phrase = &workspace->phrase;
  const int32_t         start  = start_of(p, form);
  for (int c = 0; c < phrase->chords; ++c) {
    const int32_t at   = c && phrase->chord[c].at > 0 ? phrase->chord[c].at : 0;
    workspace->over[c] = harmony_at(form, key, start + at, in_ending(p, form));
  }
  rl_phrase_move(phrase, (RlMove)p->move, key, workspace->over, workspace->note);
  return true;
}

bool
rl_lane_move(const RlPlan *const plan, const int planned, const RlForm *const form, const RlKey key,
             RlLaneWorkspace *const workspace)
{
  assert(planned >= 0 && planned < plan->planned_count);
  const RlPlanned *const p = &plan->planned[planned];
  rl_plan_phrase(plan, p->phrase, &workspace->phrase);
  return rl_lane_move_to(p, form, key, workspace);
}

static void
notes_add(RlLane *const lane, const int planned, const RlForm *const form, const RlKey key,
          const RlLaneWorkspace *const workspace)
{
  RlLanePhrase *const p = &lane->phrase[planned];
  p->first              = lane->notes;
  for (int i = 0; i < workspace->phrase.notes; ++i) {
    const RlNote *const n  = &workspace->note[i];
    const int32_t       at = p->at + n->at;
    const RlTab         t  = workspace->tab[i];
    lane->replaced = (uint16_t)(lane->replaced + (!t.hole || (t.marks & RL_TAB_IS_REPLACED)));
    if (t.hole) {
      const RlHarmony now = harmony_at(form, key, at, p->ending);
      lane->note[lane->notes++] =
        (RlLaneNote){.at           = at,
                     .lasts        = n->lasts,
                     .tab          = t,
                     .planned      = (uint8_t)planned,
                     .degree       = (uint8_t)rl_worth_of(t.note, &now, key).degree,
                     .articulation = n->articulation,
                     .followed     = n->followed};
    }
  }
  p->notes  = (uint16_t)(lane->notes - p->first);
  p->begins = p->notes ? lane->note[p->first].at : 0;
}

/* ---- of two in one place ---- */

/* Phrase `a` no longer begins where `b`, on the same bar and beat, is played instead of it. */
static void
give_way(RlLanePhrase *const a, const RlPlanned *const as, const RlPlanned *const b)
{
  const bool named = b->choruses && !a->ending;
  const bool later = a->named == (b->choruses != 0) && b > as;
  const bool wins  = later || (b->choruses && !a->named);
  if (wins) {
    a->choruses &= named ? ~b->choruses : 0;
    a->beyond = a->beyond && named;
  }
}

static void
places_share(RlLane *const lane, const RlPlan *const plan)
{
  for (int a = 0; a < lane->phrases; ++a) {
    for (int b = 0; b < lane->phrases; ++b) {
      if (a != b && lane->phrase[b].notes && lane->phrase[a].at == lane->phrase[b].at &&
          lane->phrase[a].ending == lane->phrase[b].ending) {
        give_way(&lane->phrase[a], &plan->planned[a], &plan->planned[b]);
      }
    }
  }
}

/* ---- in which order they begin ---- */

static bool
particular(const RlLanePhrase *const p)
{
  return p->named || p->ending;
}

/* Does planned phrase `a` stand before `b` in RlLane.order? */
static bool
stands_before(const RlLane *const lane, const int a, const int b)
{
  const RlLanePhrase *const p = &lane->phrase[a];
  const RlLanePhrase *const q = &lane->phrase[b];
  return p->begins != q->begins           ? p->begins < q->begins
         : particular(p) != particular(q) ? particular(p)
                                          : a > b;
}

static void
order_insert(RlLane *const lane, const int planned)
{
  int at = lane->ordered++;
  for (; at > 0 && stands_before(lane, planned, lane->order[at - 1]); --at) {
    lane->order[at] = lane->order[at - 1];
  }
  lane->order[at] = (uint8_t)planned;
}

static void
order_make(RlLane *const lane)
{
  lane->ordered  = 0;
  lane->choruses = 0;
  lane->beyond   = false;
  for (int i = 0; i < lane->phrases; ++i) {
    const RlLanePhrase *const p = &lane->phrase[i];
    if (p->notes && (p->choruses || p->beyond)) {
      order_insert(lane, i);
      lane->choruses |= p->ending ? 0 : p->choruses;
      lane->beyond = lane->beyond || (p->beyond && !p->ending);
    }
  }
}

void
rl_lane_make(const RlPlan *const plan, const RlForm *const form, const RlKey key,
             const RlHarpChoice choice, const RlPlayer player, RlLaneWorkspace *const workspace,
             RlLane *const lane)
{
  const RlHarp harp = rl_harp_make(choice);
  lane->notes = lane->replaced = lane->left_over = lane->too_many = 0;
  lane->phrases                                                   = plan->planned_count;
  for (int i = 0; i < plan->planned_count; ++i) {
    const RlPlanned *const p = &plan->planned[i];
    lane->phrase[i]          = (RlLanePhrase){0};
    if (!rl_lane_move(plan, i, form, key, workspace)) {
      ++lane->left_over;
    } else if (lane->notes + workspace->phrase.notes > RL_LANE_NOTES_MAX) {
      ++lane->too_many;
    } else {
      const bool ending = in_ending(p, form);
      const bool all    = ending || !p->choruses;
      lane->phrase[i]   = (RlLanePhrase){.at       = start_of(p, form),
                                         .choruses = all ? UINT32_MAX : p->choruses,
                                         .beyond   = all,
                                         .named    = p->choruses != 0,
                                         .ending   = ending};
      rl_tab_fit(workspace->note, workspace->phrase.notes, workspace->over, &harp, player,
                 &workspace->tab_workspace, workspace->tab);
      notes_add(lane, i, form, key, workspace);
    }
  }
  places_share(lane, plan);
  order_make(lane);
}
