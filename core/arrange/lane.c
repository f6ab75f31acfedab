/* SPDX-License-Identifier: ISC */
#include "core/arrange/lane.h"

#include "core/harmony/lamps.h"

#include <assert.h>
#include <math.h>

_Static_assert(RL_PLANNED_MAX <= UINT8_MAX + 1, "RlLaneNote.planned holds an index");
_Static_assert(RL_PLAN_CHORUSES == 32, "RlLaneNote.choruses has a bit for each");

/* ---- places ---- */

static double
quarters_to_ticks(const double quarters)
{
  return quarters * RL_TICKS;
}

static double
chorus_ticks(const RlForm *const form)
{
  return quarters_to_ticks(form->starts[RL_AXIS_QUARTERS][form->bars]);
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
rl_lane_move(const RlPlan *const plan, const int planned, const RlForm *const form, const RlKey key,
             RlLaneWorkspace *const workspace)
{
  assert(planned >= 0 && planned < plan->planned_count);
  const RlPlanned *const p = &plan->planned[planned];
  if (p->bar > form->bars + form->ending_bars || p->beat >= 1000 * form->bar[p->bar - 1].beats) {
    return false;
  }
  RlPhrase *const phrase = &workspace->phrase;
  const int32_t   start  = start_of(p, form);
  rl_plan_phrase(plan, p->phrase, phrase);
  for (int c = 0; c < phrase->chords; ++c) {
    const int32_t at   = c && phrase->chord[c].at > 0 ? phrase->chord[c].at : 0;
    workspace->over[c] = harmony_at(form, key, start + at, in_ending(p, form));
  }
  rl_phrase_move(phrase, (RlMove)p->move, key, workspace->over, workspace->note);
  return true;
}

/* Inserts a note in order of `at`, behind those of the same `at`. */
static void
note_insert(RlLane *const lane, const RlLaneNote note)
{
  int at = lane->notes++;
  for (; at > 0 && lane->note[at - 1].at > note.at; --at) {
    lane->note[at] = lane->note[at - 1];
  }
  lane->note[at] = note;
}

static void
notes_add(RlLane *const lane, const RlPlan *const plan, const int planned, const RlForm *const form,
          const RlKey key, const RlLaneWorkspace *const workspace)
{
  const RlPlanned *const p      = &plan->planned[planned];
  const bool             ending = in_ending(p, form);
  const int32_t          start  = start_of(p, form);
  for (int i = 0; i < workspace->phrase.notes; ++i) {
    const RlNote *const n  = &workspace->note[i];
    const int32_t       at = start + n->at;
    const RlTab         t  = workspace->tab[i];
    lane->replaced = (uint16_t)(lane->replaced + (!t.hole || (t.marks & RL_TAB_IS_REPLACED)));
    if (t.hole) {
      const RlHarmony now = harmony_at(form, key, at, ending);
      note_insert(lane, (RlLaneNote){.at           = at,
                                     .lasts        = n->lasts,
                                     .choruses     = p->choruses,
                                     .beyond       = !p->choruses,
                                     .tab          = t,
                                     .planned      = (uint8_t)planned,
                                     .degree       = (uint8_t)rl_worth_of(t.note, &now, key).degree,
                                     .articulation = n->articulation,
                                     .followed     = n->followed,
                                     .ending       = ending});
    }
  }
}

/* ---- where phrases overlap ---- */

/* Do two phrases play in a chorus together? */
static bool
meet(const RlLaneNote *const a, const RlLaneNote *const b)
{
  return a->planned != b->planned && a->ending == b->ending &&
         (!a->choruses || !b->choruses || (a->choruses & b->choruses));
}

/* Where each phrase of the plan begins; INT32_MAX for one without notes. */
static void
starts_find(const RlLane *const lane, int32_t *const start)
{
  for (int p = 0; p < RL_PLANNED_MAX; ++p) {
    start[p] = INT32_MAX;
  }
  for (int i = 0; i < lane->notes; ++i) {
    const RlLaneNote *const n = &lane->note[i];
    start[n->planned]         = n->at < start[n->planned] ? n->at : start[n->planned];
  }
}

/* Removes a note from the choruses in which another phrase has begun since its own. False if no
   chorus is left. */
static bool
still_plays(const RlLane *const lane, RlLaneNote *const n, const int32_t *const start)
{
  for (int i = 0; i < lane->notes && lane->note[i].at <= n->at; ++i) {
    const RlLaneNote *const o = &lane->note[i];
    const bool later          = start[o->planned] > start[n->planned] && o->at == start[o->planned];
    if (later && meet(o, n)) {
      n->choruses = (n->choruses ? n->choruses : UINT32_MAX) & ~o->choruses;
      if (!o->choruses || !n->choruses) {
        return false;
      }
    }
  }
  return true;
}

/* A phrase that begins while another plays replaces it. Compacts the list in place. */
static void
overlaps_remove(RlLane *const lane)
{
  int32_t start[RL_PLANNED_MAX];
  int     kept = 0;
  starts_find(lane, start);
  for (int i = 0; i < lane->notes; ++i) {
    RlLaneNote n = lane->note[i];
    if (still_plays(lane, &n, start)) {
      lane->note[kept++] = n;
    }
  }
  lane->notes = (uint16_t)kept;
}

/* A note lasts until the next phrase begins, at most. */
static void
overlaps_cut(RlLane *const lane)
{
  for (int i = 0; i < lane->notes; ++i) {
    RlLaneNote *const n = &lane->note[i];
    for (int k = i + 1; k < lane->notes && lane->note[k].at < n->at + n->lasts; ++k) {
      if (meet(n, &lane->note[k]) && lane->note[k].at > n->at) {
        n->lasts = lane->note[k].at - n->at;
      }
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
  for (int i = 0; i < plan->planned_count; ++i) {
    if (!rl_lane_move(plan, i, form, key, workspace)) {
      ++lane->left_over;
    } else if (lane->notes + workspace->phrase.notes > RL_LANE_NOTES_MAX) {
      ++lane->too_many;
    } else {
      rl_tab_fit(workspace->note, workspace->phrase.notes, workspace->over, &harp, player,
                 &workspace->tab_workspace, workspace->tab);
      notes_add(lane, plan, i, form, key, workspace);
    }
  }
  overlaps_remove(lane);
  overlaps_cut(lane);
}

/* ---- as it is played ---- */

bool
rl_lane_plays(const RlLaneNote *const note, const int chorus)
{
  return !note->choruses ||
         (chorus > RL_PLAN_CHORUSES ? note->beyond
                                    : chorus >= 1 && (note->choruses >> (chorus - 1) & 1U));
}

/* Does the note begin in that chorus (from 1) of the song, and where? */
static bool
onset_in(const RlForm *const form, const RlLaneNote *const n, const int chorus, double *const at)
{
  const bool last = form->choruses && chorus == form->choruses;
  *at             = n->at + (chorus - 1) * chorus_ticks(form);
  return chorus >= 1 && (!form->choruses || chorus <= form->choruses) &&
         (n->ending ? last : rl_lane_plays(n, chorus));
}

/* The index of the first note at or behind `at` along the form. */
static int
first_from(const RlLane *const lane, const double at)
{
  int low = 0;
  for (int high = lane->notes; low < high;) {
    const int middle = (low + high) / 2;
    if (lane->note[middle].at < at) {
      low = middle + 1;
    } else {
      high = middle;
    }
  }
  return low;
}

static bool
behind(const RlLaneOnset *const a, const RlLaneOnset *const b)
{
  return a->at != b->at           ? a->at > b->at
         : a->chorus != b->chorus ? a->chorus > b->chorus
                                  : a->index > b->index;
}

/* The first note of a chorus behind `last`. */
static RlLaneOnset
next_in(const RlLane *const lane, const RlForm *const form, const RlLaneOnset last,
        const int chorus)
{
  RlLaneOnset next = {-1, chorus, 0};
  int         i    = first_from(lane, last.at - (chorus - 1) * chorus_ticks(form));
  for (; i < lane->notes; ++i) {
    const bool plays = onset_in(form, &lane->note[i], chorus, &next.at);
    next.index       = i;
    if (plays && behind(&next, &last)) {
      return next;
    }
  }
  return (RlLaneOnset){-1, 0, 0};
}

/* A phrase may begin in the chorus before its own, by a pickup, and end in the one after it. */
RlLaneOnset
rl_lane_next(const RlLane *const lane, const RlForm *const form, const RlLaneOnset onset)
{
  RlLaneOnset best = {-1, 0, 0};
  const int   here = (int)fmax(0, fmin(floor(onset.at / chorus_ticks(form)), 100000)) + 1;
  for (int chorus = here > 1 ? here - 1 : 1; chorus <= here + 2; ++chorus) {
    const RlLaneOnset next = next_in(lane, form, onset, chorus);
    if (next.index >= 0 && (best.index < 0 || behind(&best, &next))) {
      best = next;
    }
  }
  return best;
}

RlLaneOnset
rl_lane_first(const RlLane *const lane, const RlForm *const form, const double from)
{
  return rl_lane_next(lane, form, (RlLaneOnset){-1, 0, from});
}
