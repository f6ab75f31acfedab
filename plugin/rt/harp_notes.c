/* SPDX-License-Identifier: ISC */
#include "plugin/rt/harp_notes.h"

/* A note's way to its pitch is not how far off it is held. */
static const double attack = 0.05; /* seconds */

static bool
same(const RlPlayedNote *const a, const RlPlayedNote *const b)
{
  return a->hole == b->hole && a->technique == b->technique;
}

static const RlPlayedNote *
found(const RlPlayed *const played, const RlPlayedNote *const note)
{
  const RlPlayedNote *it = NULL;
  for (int i = 0; i < played->count; ++i) {
    it = same(&played->note[i], note) ? &played->note[i] : it;
  }
  return it;
}

/* Until now it was as far off as heard last. */
static void
cents_add(RlHarpNote *const n, const uint64_t now, const double rate)
{
  const uint64_t settled = n->since + (uint64_t)(attack * rate);
  const uint64_t from    = n->last > settled ? n->last : settled;
  if (now > from) {
    n->cents += (double)n->note.cents * (double)(now - from);
    n->frames += (double)(now - from);
  }
  n->last = now;
}

static RlHarpNoteEvent
ended(RlHarpNote *const n, const uint64_t now, const double rate)
{
  cents_add(n, now, rate);
  RlHarpNoteEvent event = {n->note, now, false};
  event.note.cents      = n->frames > 0 ? (float)(n->cents / n->frames) : n->note.cents;
  return event;
}

int
rl_harp_notes_hear(RlHarpNotes *const n, const RlPlayed *const played, const double rate,
                   RlHarpNoteEvent events[RL_HARP_NOTE_EVENTS])
{
  int      count = 0;
  int      kept  = 0;
  RlPlayed rest  = *played;
  for (int i = 0; i < n->count; ++i) {
    RlHarpNote *const         note = &n->note[i];
    const RlPlayedNote *const goes = found(played, &note->note);
    if (!goes) {
      events[count++] = ended(note, played->since > note->last ? played->since : note->last, rate);
    } else {
      cents_add(note, played->frame, rate);
      note->note      = *goes;
      n->note[kept++] = *note;
    }
  }
  n->count = kept;
  for (int i = 0; i < rest.count && n->count < RL_REED_TOGETHER; ++i) {
    bool known = false;
    for (int k = 0; k < kept; ++k) {
      known = known || same(&n->note[k].note, &rest.note[i]);
    }
    if (!known) {
      n->note[n->count++] = (RlHarpNote){rest.note[i], rest.since, rest.since, 0, 0};
      events[count++]     = (RlHarpNoteEvent){rest.note[i], rest.since, true};
    }
  }
  return count;
}
