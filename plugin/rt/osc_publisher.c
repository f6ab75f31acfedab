/* SPDX-License-Identifier: ISC */
#include "plugin/rt/osc_publisher.h"

static RlHarmony
harmony(const RlFollower *const f, const int change)
{
  return change < 0 ? (RlHarmony){0}
                    : rl_harmony_of(rl_form_chord(&f->snapshot->form, change), f->key);
}

/* Those that sound at once are of one phrase and began together. */
static void
notes_copy(RlOscSnapshot *const n, const RlMidiOut *const phrases)
{
  n->notes = phrases->changes;
  for (int i = 0; i < phrases->voices && i < RL_PHRASE_TOGETHER; ++i) {
    n->note[n->sounding++] = phrases->voice[i].played;
  }
}

static void
loop_copy(RlOscSnapshot *const n, const RlFollower *const f)
{
  if (rl_loop_holds(&f->loop, &f->at)) {
    const RlLoopBars loop = rl_loop_bars(&f->loop, &f->snapshot->form, &f->at);
    n->loop_from          = (float)loop.from;
    n->loop_to            = (float)loop.to;
  }
}

RlOscSnapshot
rl_osc_snapshot_of(const RlFollower *const f, const RlMidiOut *const phrases,
                   const RlListening *const listening, const RlHeardNow *const heard,
                   const RlHitsTold *const hits)
{
  const RlPlace *const    place    = &f->now.place;
  const RlChordsAt *const chords   = &f->now.chords;
  const float             beat     = rl_follower_shown_beat(f);
  RlOscSnapshot           snapshot = {.frame           = f->clock.now,
                                      .rolling         = f->now.rolling,
                                      .tempo           = (float)f->now.tempo,
                                      .beat            = beat,
                                      .sure            = f->now.sure,
                                      .beats_to_next   = (float)rl_follower_beats_to_next(f),
                                      .beats_per_frame = f->now.beats_per_frame,
                                      .chorus          = place->chorus,
                                      .bar             = beat > 0 ? place->bar : 0,
                                      .bars            = f->snapshot->form.bars,
                                      .beats           = place->beats,
                                      .unit            = place->unit,
                                      .sounds          = chords->now >= 0,
                                      .follows         = chords->next >= 0,
                                      .now             = harmony(f, chords->now),
                                      .next            = harmony(f, chords->next),
                                      .target          = rl_follower_target(f, chords->next),
                                      .landed          = rl_follower_target(f, chords->now),
                                      .show            = f->settings.show,
                                      .key             = f->key,
                                      .hand            = f->settings.hand,
                                      .position        = f->position,
                                      .chart           = f->snapshot->version[RL_CHART],
                                      .plan            = f->snapshot->version[RL_PLAN],
                                      .key_heard       = RL_KEY_NOT_HEARD};
  if (listening) {
    snapshot.hearing   = listening->state;
    snapshot.tuned     = listening->news.tuned;
    snapshot.cents     = listening->news.cents;
    snapshot.key_heard = listening->news.key;
    snapshot.key_sure  = listening->news.key_sure;
  }
  loop_copy(&snapshot, f);
  if (heard) {
    snapshot.heard = *heard;
  }
  if (hits) {
    snapshot.hits = *hits;
  }
  notes_copy(&snapshot, phrases);
  return snapshot;
}

void
rl_osc_publisher_init(RlOscPublisher *const p, const double rate, const RlMidiOut *const phrases,
                      RlMailbox *const mailbox)
{
  p->frame_clock.rate = rate;
  p->phrases          = phrases;
  p->mailbox          = mailbox;
}

static void
busy_find(RlOscPublisher *const p)
{
  p->busy = p->wanted || p->on || p->waits;
}

void
rl_osc_publisher_tune(RlOscPublisher *const p, const bool wanted, const bool freewheel)
{
  p->wanted    = wanted;
  p->freewheel = freewheel;
  busy_find(p);
}

void
rl_osc_publisher_refresh(RlOscPublisher *const p)
{
  p->full_due = true;
}

static void
mail(RlOscPublisher *const p)
{
  p->waits = !rl_mailbox_put(p->mailbox, &p->waiting);
  p->put   = p->put || !p->waits;
}

/* The time of day of a frame. Blocks that make up for a stall may set the line back:
   tags stand still then, unless it was the system's clock that was set. */
static int64_t
tag_of(RlOscPublisher *const p, const int64_t frame)
{
  static const int64_t set_back = 1000000000; /* nanoseconds */
  const int64_t        when     = rl_frame_clock_at(&p->frame_clock, frame);
  p->told                       = when < p->told && p->told - when < set_back ? p->told : when;
  return p->told;
}

/* Where the mailbox has no room the newest waits, and what an older one wanted is still wanted. */
static void
post(RlOscPublisher *const p, RlOscSnapshot snapshot, const int64_t frame, const bool last)
{
  const RlOscSnapshot *const older = p->waits ? &p->waiting : NULL;
  snapshot.when                    = tag_of(p, frame);
  snapshot.last                    = last;
  snapshot.full  = !last && (p->full_due || (older && (older->full || older->last)));
  snapshot.moved = snapshot.moved || (older && older->moved);
  p->on          = !last;
  p->full_due    = p->full_due && last;
  p->since       = snapshot.full ? 0 : p->since;
  p->waiting     = snapshot;
  mail(p);
}

static RlOscSnapshot
snapshot_now(const RlOscPublisher *const p, const RlFollower *const f)
{
  return rl_osc_snapshot_of(f, p->phrases, p->listening, p->heard, p->hits);
}

static void
post_now(RlOscPublisher *const p, const RlFollower *const f, const unsigned changes,
         const int64_t frame, const bool moved)
{
  RlOscSnapshot snapshot = snapshot_now(p, f);
  snapshot.moved         = moved;
  p->notes               = snapshot.notes;
  p->plays               = snapshot.heard.changes;
  p->hit                 = snapshot.hits.count;
  post(p, snapshot, frame, false);
  rl_change_detector_told(&p->detector, f, changes, true);
}

void
rl_osc_publisher_begin(RlOscPublisher *const p, const RlFollower *const f, const uint32_t frames)
{
  if (p->freewheel) {
    p->frame_clock.known = false;
    p->full_due          = true;
    return;
  }
  p->full_due          = p->full_due || !p->on;
  p->frame_clock.known = p->frame_clock.known && p->on;
  rl_frame_clock_block(&p->frame_clock, frames, rl_frame_clock_now());
  if (p->waits) {
    mail(p);
  }
  if (p->on && !p->wanted) {
    post(p, snapshot_now(p, f), 0, true);
  }
}

void
rl_osc_publisher_tell(RlOscPublisher *const p, const RlFollower *const f, const unsigned changes,
                      const int64_t frame)
{
  const bool moved = rl_change_detector_sees(&p->detector, f);
  const bool plays =
    (p->heard && p->heard->changes != p->plays) || (p->hits && p->hits->count != p->hit);
  const bool changed = changes != p->detector.changes || p->phrases->changes != p->notes || plays;
  if (p->freewheel || !p->wanted) {
    return;
  }
  if (moved || changed) {
    post_now(p, f, changes, frame, moved);
  } else {
    rl_change_detector_told(&p->detector, f, changes, false);
  }
}

void
rl_osc_publisher_end(RlOscPublisher *const p, const RlFollower *const f, const unsigned changes,
                     const int64_t frame)
{
  if (!p->freewheel && p->wanted) {
    p->since += p->frame_clock.frames;
    p->full_due = p->full_due || (double)p->since >= RL_OSC_REPEAT * p->frame_clock.rate;
    if (p->full_due) {
      post_now(p, f, changes, frame, true);
    }
  }
  busy_find(p);
}

void
rl_osc_publisher_stop(RlOscPublisher *const p, const RlFollower *const f)
{
  if (p->on && !p->freewheel) {
    p->frame_clock.start = rl_frame_clock_now();
    post(p, snapshot_now(p, f), 0, true);
  }
  p->frame_clock.known = false;
}
