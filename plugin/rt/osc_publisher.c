/* SPDX-License-Identifier: ISC */
#include "plugin/rt/osc_publisher.h"

static RlHarmony
harmony(const RlFollower *const l, const int change)
{
  return change < 0 ? (RlHarmony){0}
                    : rl_harmony_of(rl_form_chord(&l->snapshot->form, change), l->key);
}

/* Those that sound at once are of one phrase and began together. */
static void
notes_take(RlOscSnapshot *const n, const RlMidiOut *const phrases)
{
  n->notes = phrases->changes;
  for (int i = 0; i < phrases->voices && i < RL_PHRASE_TOGETHER; ++i) {
    n->note[n->sounding++] = phrases->voice[i].played;
  }
}

RlOscSnapshot
rl_osc_snapshot_of(const RlFollower *const l, const RlMidiOut *const phrases)
{
  const RlPlace *const    place  = &l->now.place;
  const RlChordsAt *const chords = &l->now.chords;
  const float             beat   = rl_follower_shown_beat(l);
  RlOscSnapshot           news   = {.frame           = l->clock.now,
                                    .rolling         = l->now.rolling,
                                    .tempo           = (float)l->now.tempo,
                                    .beat            = beat,
                                    .sure            = l->now.sure,
                                    .beats_to_next   = (float)rl_follower_beats_to_next(l),
                                    .beats_per_frame = l->now.beats_per_frame,
                                    .chorus          = place->chorus,
                                    .bar             = beat > 0 ? place->bar : 0,
                                    .bars            = l->snapshot->form.bars,
                                    .beats           = place->beats,
                                    .unit            = place->unit,
                                    .sounds          = chords->now >= 0,
                                    .follows         = chords->next >= 0,
                                    .now             = harmony(l, chords->now),
                                    .next            = harmony(l, chords->next),
                                    .target          = rl_follower_target(l, chords->next),
                                    .key             = l->key,
                                    .hand            = l->settings.hand,
                                    .position        = l->position,
                                    .chart           = l->snapshot->version[RL_CHART],
                                    .plan            = l->snapshot->version[RL_PLAN]};
  notes_take(&news, phrases);
  return news;
}

void
rl_osc_publisher_init(RlOscPublisher *const a, const double rate, const RlMidiOut *const phrases,
                      RlMailbox *const mailbox)
{
  a->frame_clock.rate = rate;
  a->phrases          = phrases;
  a->mailbox          = mailbox;
}

static void
busy_find(RlOscPublisher *const a)
{
  a->busy = a->wanted || a->on || a->waits;
}

void
rl_osc_publisher_tune(RlOscPublisher *const a, const bool wanted, const bool freewheel)
{
  a->wanted    = wanted;
  a->freewheel = freewheel;
  busy_find(a);
}

void
rl_osc_publisher_refresh(RlOscPublisher *const a)
{
  a->full_due = true;
}

static void
mail(RlOscPublisher *const a)
{
  a->waits = !rl_mailbox_put(a->mailbox, &a->waiting);
  a->put   = a->put || !a->waits;
}

/* The frame_clock-clock time of a frame. Blocks that make up for a stall may set the line back:
   tags stand still then, unless it was the system's clock that was set. */
static int64_t
tag_of(RlOscPublisher *const a, const int64_t frame)
{
  static const int64_t set_back = 1000000000; /* nanoseconds */
  const int64_t        when     = rl_frame_clock_at(&a->frame_clock, frame);
  a->told                       = when < a->told && a->told - when < set_back ? a->told : when;
  return a->told;
}

/* Where the mailbox has no room the newest waits, and what an older one wanted is still wanted. */
static void
post(RlOscPublisher *const a, RlOscSnapshot news, const int64_t frame, const bool last)
{
  const RlOscSnapshot *const older = a->waits ? &a->waiting : NULL;
  news.when                        = tag_of(a, frame);
  news.last                        = last;
  news.full   = !last && (a->full_due || (older && (older->full || older->last)));
  news.moved  = news.moved || (older && older->moved);
  a->on       = !last;
  a->full_due = a->full_due && last;
  a->since    = news.full ? 0 : a->since;
  a->waiting  = news;
  mail(a);
}

static void
post_now(RlOscPublisher *const a, const RlFollower *const l, const unsigned changes,
         const int64_t frame, const bool moved)
{
  RlOscSnapshot news = rl_osc_snapshot_of(l, a->phrases);
  news.moved         = moved;
  a->notes           = news.notes;
  post(a, news, frame, false);
  rl_change_detector_told(&a->detector, l, changes, true);
}

void
rl_osc_publisher_begin(RlOscPublisher *const a, const RlFollower *const l, const uint32_t frames)
{
  if (a->freewheel) {
    a->frame_clock.known = false;
    a->full_due          = true;
    return;
  }
  a->full_due          = a->full_due || !a->on;
  a->frame_clock.known = a->frame_clock.known && a->on;
  rl_frame_clock_block(&a->frame_clock, frames, rl_frame_clock_now());
  if (a->waits) {
    mail(a);
  }
  if (a->on && !a->wanted) {
    post(a, rl_osc_snapshot_of(l, a->phrases), 0, true);
  }
}

void
rl_osc_publisher_tell(RlOscPublisher *const a, const RlFollower *const l, const unsigned changes,
                      const int64_t frame)
{
  const bool moved   = rl_change_detector_sees(&a->detector, l);
  const bool changed = changes != a->detector.changes || a->phrases->changes != a->notes;
  if (a->freewheel || !a->wanted) {
    return;
  }
  if (moved || changed) {
    post_now(a, l, changes, frame, moved);
  } else {
    rl_change_detector_told(&a->detector, l, changes, false);
  }
}

void
rl_osc_publisher_end(RlOscPublisher *const a, const RlFollower *const l, const unsigned changes,
                     const int64_t frame)
{
  if (!a->freewheel && a->wanted) {
    a->since += a->frame_clock.frames;
    a->full_due = a->full_due || (double)a->since >= RL_OSC_REPEAT * a->frame_clock.rate;
    if (a->full_due) {
      post_now(a, l, changes, frame, true);
    }
  }
  busy_find(a);
}

void
rl_osc_publisher_stop(RlOscPublisher *const a, const RlFollower *const l)
{
  if (a->on && !a->freewheel) {
    a->frame_clock.start = rl_frame_clock_now();
    post(a, rl_osc_snapshot_of(l, a->phrases), 0, true);
  }
  a->frame_clock.known = false;
}
