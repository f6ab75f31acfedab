/* SPDX-License-Identifier: ISC */
#include "core/practice/hits.h"

#include <limits.h>
#include <math.h>
#include <string.h>

static const double slack = 1e-6; /* quarters */
static const double jump  = 0.5;  /* quarters: no report is so far from the one before */

/* ---- the rule ---- */

bool
rl_hit_plays(const double at, const double begun, const double felt)
{
  return fabs(begun - at) <= rl_hit_near * felt + slack;
}

bool
rl_hit_lands(const double at, const double begun, const double ends, const double felt)
{
  const double after = begun - at;
  const bool   comes = after >= -rl_hit_early * felt - slack && after <= rl_hit_late * felt + slack;
  return comes || (after < 0 && ends - at >= rl_hit_held * felt - slack);
}

double
rl_hit_felt(const RlPlace *const p)
{
  return p->beats > 0 ? p->beats * 4.0 / p->unit / rl_meter_felt(p->beats, p->unit) : 1;
}

/* ---- what was told ---- */

void
rl_hits_forget(RlHits *const h)
{
  memset(h, 0, sizeof(*h));
}

typedef struct {
  RlHits          *hits;
  const RlHitSong *song;
  RlPlace          place; /* where the report is about */
  double           at, felt;
  RlHit           *hit;
  int              count;
} Report;

static bool
was_told(const RlHits *const h, const RlHit *const hit)
{
  const unsigned kept = h->told < RL_HITS_KEPT ? h->told : RL_HITS_KEPT;
  for (unsigned i = 0; i < kept; ++i) {
    const bool same = hit->target || h->kept[i].index == hit->index; /* a chord has one target */
    if (h->kept[i].target == hit->target && same && fabs(h->kept[i].at - hit->at) < slack) {
      return true;
    }
  }
  return false;
}

/* True if it is a new one. */
static bool
tell(Report *const r, const RlHit hit)
{
  RlHits *const  h  = r->hits;
  const unsigned to = h->told % RL_HITS_KEPT;
  if (r->count == RL_HITS_MOST || was_told(h, &hit)) {
    return false;
  }
  h->kept[to].at     = hit.at;
  h->kept[to].index  = hit.index;
  h->kept[to].target = hit.target;
  ++h->told;
  r->hit[r->count++] = hit;
  return true;
}

/* ---- phrases ---- */

/* Each note played is one planned note at most: the first that has not been played yet. */
static void
planned_find(Report *const r, const uint8_t note, const double begun)
{
  const RlHitSong *const s    = r->song;
  const double           near = rl_hit_near * r->felt;
  if (!s->lane || !s->lane->notes) {
    return;
  }
  for (RlLaneOnset n = rl_lane_first(s->lane, s->form, (begun - near - slack) * RL_TICKS);
       n.index >= 0 && n.at <= (begun + near + slack) * RL_TICKS;
       n = rl_lane_next(s->lane, s->form, n)) {
    const RlTab *const tab = &s->lane->note[n.index].tab;
    const RlHit hit = {n.at / RL_TICKS, n.index, tab->hole, tab->technique, tab->note, false};
    if (tab->note == note && tell(r, hit)) {
      return;
    }
  }
}

/* ---- targets ---- */

static void
target_find(Report *const r, const int change, const double comes, const uint8_t note,
            const double begun)
{
  const RlTarget t = change >= 0 ? r->song->line->target[change] : (RlTarget){0};
  if (t.hole && t.note == note && rl_hit_lands(comes, begun, r->at, r->felt)) {
    tell(r, (RlHit){comes, change, t.hole, t.technique, t.note, true});
  }
}

/* The chord that sounds, and the one that comes next. */
static void
targets_find(Report *const r, const uint8_t note, const double begun)
{
  const RlForm *const form   = r->song->form;
  const RlChordsAt    chords = rl_form_chords_at(form, &r->place);
  if (r->place.index < 0 || !r->song->line) {
    return;
  }
  target_find(r, chords.now, r->at - rl_form_felt_since_chord(form, &r->place) * r->felt, note,
              begun);
  if (chords.next >= 0) {
    target_find(r, chords.next, r->at + chords.beats_to_next * 4 / r->place.unit, note, begun);
  }
}

/* ---- reports ---- */

/* Of a pitch that has just come; the one that has been missing longest makes room. */
static int
pitch_add(RlHits *const h, const uint8_t note, const double at)
{
  int to = h->sounding;
  if (to == 2 * RL_HITS_PITCHES) {
    to = 0;
    for (int i = 1; i < h->sounding; ++i) {
      to = h->pitch[i].missing > h->pitch[to].missing ? i : to;
    }
  } else {
    ++h->sounding;
  }
  h->pitch[to].note    = note;
  h->pitch[to].begun   = at;
  h->pitch[to].age     = 0;
  h->pitch[to].missing = 0;
  return to;
}

static void
pitch_hear(RlHits *const h, const uint8_t note, const double at, const bool anew)
{
  int i = 0;
  while (i < h->sounding && h->pitch[i].note != note) {
    ++i;
  }
  i = i < h->sounding ? i : pitch_add(h, note, at);
  if (anew) {
    h->pitch[i].begun = at;
    h->pitch[i].age   = 0;
  }
  h->pitch[i].age += h->pitch[i].age < INT_MAX;
  h->pitch[i].missing = 0;
}

/* Those that have been missing for too long have ended. */
static void
pitches_end(RlHits *const h)
{
  int kept = 0;
  for (int i = 0; i < h->sounding; ++i) {
    if (h->pitch[i].missing <= RL_HITS_SETTLED) {
      h->pitch[kept++] = h->pitch[i];
    }
  }
  h->sounding = kept;
}

static void
pitches_hear(RlHits *const h, const double at, const uint8_t *const notes, const int count,
             const bool anew)
{
  for (int i = 0; i < h->sounding; ++i) {
    ++h->pitch[i].missing;
  }
  for (int i = 0; i < count && i < RL_HITS_PITCHES; ++i) {
    pitch_hear(h, notes[i], at, anew);
  }
  pitches_end(h);
}

int
rl_hits_hear(RlHits *const h, const RlHitSong *const song, const double at,
             const uint8_t *const notes, const int count, const bool anew, RlHit hit[RL_HITS_MOST])
{
  if (fabs(at - h->now) > jump || at < h->now - slack) {
    rl_hits_forget(h);
  }
  h->now = at;
  pitches_hear(h, at, notes, count, anew);
  if (!h->sounding) {
    return 0;
  }
  Report r = {.hits = h, .song = song, .at = at, .hit = hit};
  r.place  = rl_form_locate(song->form, RL_AXIS_QUARTERS, at, slack);
  r.felt   = rl_hit_felt(&r.place);
  for (int i = 0; i < h->sounding; ++i) {
    const bool sounds = !h->pitch[i].missing;
    if (sounds && h->pitch[i].age == RL_HITS_SETTLED) {
      planned_find(&r, h->pitch[i].note, h->pitch[i].begun);
    }
    if (sounds && h->pitch[i].age >= RL_HITS_SETTLED) {
      targets_find(&r, h->pitch[i].note, h->pitch[i].begun);
    }
  }
  return r.count;
}
