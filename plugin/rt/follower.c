/* SPDX-License-Identifier: ISC */
#include "plugin/rt/follower.h"

#include <math.h>
#include <string.h>

/* A beat due within this part of a frame counts as due: reports are rounded to a Float. */
static const double frame_slack = 1.0 / 64;

/* A straight stretch of time along one axis of the form. */
typedef struct {
  bool    known, rolling;
  RlAxis  axis;
  double  at, per_frame;
  double  tempo; /* steps along the axis a minute, also while standing */
  float   sure;
  int64_t left; /* frames until it may bend; INT64_MAX for never */
} Stretch;

void
rl_follower_init(RlFollower *const f, const double rate, const RlSnapshot *const snapshot)
{
  memset(f, 0, sizeof(*f));
  f->rate               = rate;
  f->left               = INT64_MAX;
  f->now.place.index    = -1;
  f->settings.start_bar = 1;
  f->settings.show      = RL_SHOW_ALL;
  rl_clock_init(&f->clock, rate);
  rl_taps_init(&f->taps, rate);
  rl_heard_init(&f->heard, rate);
  rl_follower_snapshot(f, snapshot);
}

/* ---- from a moment to a place ---- */

static Stretch
host_stretch(const RlFollower *const f)
{
  const RlMoment m     = rl_clock_moment(&f->clock, 0);
  const bool     bars  = !f->settings.by_beats;
  const double   steps = bars ? 1 / m.beats_per_bar : 4.0 / m.unit; /* in a beat */
  return (Stretch){.known     = m.known,
                   .rolling   = m.rolling,
                   .axis      = bars ? RL_AXIS_BARS : RL_AXIS_QUARTERS,
                   .at        = bars ? (double)m.bar + m.beat / m.beats_per_bar : m.quarters,
                   .per_frame = m.per_frame * steps,
                   .tempo     = m.tempo * steps,
                   .sure      = bars ? m.sure : m.quarters_sure,
                   .left      = INT64_MAX};
}

static Stretch
felt_stretch(const RlPulse p)
{
  return (Stretch){p.known,     p.rolling, RL_AXIS_FELT, p.felt,
                   p.per_frame, p.tempo,   p.sure,       p.straight};
}

/* Which chorus is the last the ear cannot know: as long as it hears the form, it goes round. */
static Stretch
ear_stretch(const RlFollower *const f)
{
  const RlForm *const form   = &f->snapshot->form;
  const double        length = form->starts[RL_AXIS_FELT][form->bars];
  const double        last   = (form->choruses - 1) * length;
  Stretch             s      = felt_stretch(rl_heard_pulse(&f->heard, 0));
  if (form->choruses && s.at >= last + length) {
    s.at = last + fmod(s.at, length);
  }
  return s;
}

static Stretch
stretch(const RlFollower *const f)
{
  switch (f->settings.clock) {
  case RL_BY_TAPS:
    return felt_stretch(rl_taps_pulse(&f->taps, 0));
  case RL_BY_EAR:
    return ear_stretch(f);
  default:
    return host_stretch(f);
  }
}

static bool
bar_one_holds(const RlFollower *const f, const RlAxis axis)
{
  const RlBarOne *const said = &f->bar_one;
  return said->set && said->axis == (int32_t)axis && said->start_bar == f->settings.start_bar;
}

const RlBarOne *
rl_follower_bar_one(const RlFollower *const f)
{
  const RlAxis axis = f->settings.by_beats ? RL_AXIS_QUARTERS : RL_AXIS_BARS;
  return f->settings.clock == RL_BY_HOST && bar_one_holds(f, axis) ? &f->bar_one : NULL;
}

/* Where bar 1 of the form lies along an axis. */
static double
bar_one_of(const RlFollower *const f, const RlAxis axis)
{
  const RlBarOne *const said = &f->bar_one;
  if (axis == RL_AXIS_FELT) {
    return f->settings.clock == RL_BY_EAR ? 0 : f->taps_bar_one;
  }
  if (bar_one_holds(f, axis)) {
    return said->at;
  }
  return rl_form_lead_in(&f->snapshot->form, axis) +
         (axis == RL_AXIS_BARS ? f->settings.start_bar - 1 : 0);
}

/* The next beat, or where the pace changes if that comes before. */
static int64_t
frames_to_look(const RlNow *const now, const int64_t straight)
{
  const double pace = now->beats_per_frame;
  const double beat = floor(now->place.beat);
  if (pace == 0 || now->place.part == RL_PART_NOWHERE) {
    return straight;
  }
  const double frames = pace > 0 ? ceil((beat + 1 - now->place.beat) / pace - frame_slack)
                                 : floor((now->place.beat - beat) / -pace) + 1;
  return frames < 1 ? 1 : frames > (double)straight ? straight : (int64_t)frames;
}

/* Chords do not change but on a beat of the same bar. */
static bool
same_beat(const RlPlace *const a, const RlPlace *const b)
{
  return a->part == b->part && a->chorus == b->chorus && a->bar == b->bar && a->index == b->index &&
         floor(a->beat) == floor(b->beat);
}

static RlChordsAt
chords_at(const RlFollower *const f, const RlPlace *const place)
{
  RlChordsAt chords = f->along;
  if (f->searched != f->snapshot || !same_beat(place, &f->now.place)) {
    return rl_form_chords_at(&f->snapshot->form, place);
  }
  chords.beats_to_next -= chords.next < 0 ? 0 : place->beat - f->now.place.beat;
  return chords;
}

/* Has the host gone through a loop, or left one? Only a host has any. */
static void
loop_follow(RlFollower *const f, const Stretch *const s)
{
  static const double block = 0.1; /* seconds: a long one */
  const RlLoopPlace   place = {s->axis, s->at, s->tempo / 60 * block, f->bar_one_at[s->axis]};
  const double due  = f->at.at + f->at_per_frame * (double)f->since; /* had nothing happened */
  const bool   host = f->settings.clock == RL_BY_HOST && s->known;
  if (!host || f->at.axis != s->axis) {
    f->loop.rounds = 0;
  } else if (f->now.rolling && s->rolling && fabs(s->at - due) > place.near) {
    rl_loop_jump(&f->loop, due, &place);
  } else {
    rl_loop_pass(&f->loop, &place);
  }
  f->at           = place;
  f->at_per_frame = s->per_frame;
}

static void
look(RlFollower *const f)
{
  const Stretch s   = stretch(f);
  RlNow         now = {.place = {.part = RL_PART_NOWHERE, .index = -1}, .chords = {-1, -1, 0}};
  loop_follow(f, &s);
  now.rolling = s.rolling; /* also where nobody knows where */
  if (s.known) {
    const double slack = (s.per_frame < 0 ? -s.per_frame : s.per_frame) * frame_slack;
    now.place  = rl_form_locate(&f->snapshot->form, s.axis, s.at - f->bar_one_at[s.axis], slack);
    now.chords = chords_at(f, &now.place);
    now.tempo  = s.tempo * now.place.beats_per_step;
    now.sure   = s.sure;
    now.beats_per_frame = s.per_frame * now.place.beats_per_step;
  }
  f->along = now.chords;
  if (rl_loop_holds(&f->loop, &f->at)) {
    now.chords = rl_loop_chords(&f->loop, &f->snapshot->form, &f->at, f->along);
  }
  f->now      = now;
  f->searched = f->snapshot;
  f->since    = 0;
  f->left     = frames_to_look(&now, s.left);
  ++f->looks;
}

/* What hangs on snapshot and settings alone. */
static void
prepare(RlFollower *const f)
{
  for (int axis = 0; axis < RL_AXES; ++axis) {
    f->bar_one_at[axis] = bar_one_of(f, (RlAxis)axis);
  }
  f->key      = rl_snapshot_key(f->snapshot, f->settings.hand.song_key);
  f->position = rl_harp_position(f->settings.hand.harp.key, rl_spelling_class(f->key.tonic));
  look(f);
}

/* ---- what happens ---- */

void
rl_follower_restart(RlFollower *const f)
{
  rl_clock_init(&f->clock, f->rate);
  rl_clock_set_start(&f->clock, f->settings.start_bar - 1);
  rl_taps_init(&f->taps, f->rate);
  rl_heard_init(&f->heard, f->rate);
  f->taps_bar_one = 0;
  prepare(f);
}

static void
bar_one_set(RlFollower *const f, const RlBarOne bar_one)
{
  f->bar_ones += f->bar_one.set || bar_one.set;
  f->bar_one = bar_one;
}

/* A chart that was edited while it is followed by ear: the place holds if the form is as long. */
static void
heard_keep(RlFollower *const f, const RlForm *const before, const RlForm *const form)
{
  if (!before ||
      before->starts[RL_AXIS_FELT][before->bars] != form->starts[RL_AXIS_FELT][form->bars]) {
    rl_heard_move(&f->heard, NULL);
  }
}

void
rl_follower_snapshot(RlFollower *const f, const RlSnapshot *const snapshot)
{
  const bool first  = !f->snapshot;
  const bool brings = first || snapshot->bar_one_version != f->snapshot->bar_one_version ||
                      snapshot->bar_one_edits != f->snapshot->bar_one_edits;
  const bool new_chart = first || snapshot->version[RL_CHART] != f->snapshot->version[RL_CHART];
  const bool as_long   = !first && snapshot->form.bars == f->snapshot->form.bars;
  if (brings) {
    f->bar_one = snapshot->bar_one;
  } else if (new_chart && !as_long) {
    bar_one_set(f, (RlBarOne){0});
  }
  if (new_chart) {
    heard_keep(f, first ? NULL : &f->snapshot->form, &snapshot->form);
  }
  f->taps_bar_one = brings || (new_chart && !as_long) ? 0 : f->taps_bar_one;
  f->snapshot     = snapshot;
  prepare(f);
}

void
rl_follower_settings(RlFollower *const f, const RlSettings *const settings)
{
  const bool moved = settings->start_bar != f->settings.start_bar;
  if (moved && settings->start_bar != f->bar_one.start_bar) {
    bar_one_set(f, (RlBarOne){0});
  }
  if (settings->clock != f->settings.clock) {
    rl_heard_begin(&f->heard, f->clock.now);
  }
  f->settings = *settings;
  rl_clock_set_start(&f->clock, settings->start_bar - 1);
  prepare(f);
}

void
rl_follower_report(RlFollower *const f, const RlReport *const report)
{
  if (rl_clock_report(&f->clock, report) && f->settings.clock == RL_BY_HOST) {
    look(f);
  }
}

void
rl_follower_heard(RlFollower *const f, const RlHeardReport *const report)
{
  if (rl_heard_report(&f->heard, report)) {
    look(f);
  }
}

void
rl_follower_heard_move(RlFollower *const f, const RlHeardReport *const place)
{
  rl_heard_move(&f->heard, place);
  look(f);
}

static void
tap(RlFollower *const f)
{
  const bool was_rolling = rl_taps_pulse(&f->taps, 0).rolling;
  rl_taps_tap(&f->taps);
  if (!was_rolling) {
    f->taps_bar_one = 0; /* a new count-in leads to bar 1 */
  }
}

static void
bar_one_now(RlFollower *const f)
{
  const Stretch s    = stretch(f);
  const double  from = f->bar_one_at[s.axis];
  const double  line = from + rl_form_nearest_bar(&f->snapshot->form, s.axis, s.at - from);
  if (s.axis != RL_AXIS_FELT && s.known) {
    bar_one_set(f, (RlBarOne){true, (int32_t)s.axis, f->settings.start_bar, line});
  } else if (s.axis == RL_AXIS_FELT) {
    f->taps_bar_one = s.rolling ? line : 0;
    if (!s.rolling) {
      rl_taps_start(&f->taps, f->snapshot->form.tempo);
    }
  }
}

void
rl_follower_pedal(RlFollower *const f, const RlPedal pedal)
{
  if (pedal == RL_PEDAL_BAR_ONE) {
    bar_one_now(f);
  } else if (f->settings.clock == RL_BY_TAPS && pedal == RL_PEDAL_TAP) {
    tap(f);
  } else if (f->settings.clock == RL_BY_TAPS && pedal == RL_PEDAL_STOP) {
    rl_taps_stop(&f->taps);
  }
  prepare(f);
}

int64_t
rl_follower_arrive(RlFollower *const f, const int64_t passed)
{
  if (f->settings.clock == RL_BY_EAR) {
    rl_heard_advance(&f->heard, passed);
  }
  if (f->left == 0) {
    look(f);
  }
  return passed;
}

double
rl_follower_beat(const RlFollower *const f)
{
  return f->now.place.beat + f->now.beats_per_frame * (double)f->since;
}

float
rl_follower_shown_beat(const RlFollower *const f)
{
  const RlPart part = f->now.place.part;
  const float  end  = (float)f->now.place.beats + 1;
  const float  beat = (float)rl_follower_beat(f) + 1;
  if (part == RL_PART_NOWHERE || part == RL_PART_OVER) {
    return 0;
  }
  return beat < 1 ? 1 : beat < end ? beat : nextafterf(end, 0);
}

double
rl_follower_beats_to_next(const RlFollower *const f)
{
  const double moved = rl_follower_beat(f) - f->now.place.beat;
  return f->now.chords.next < 0 ? 0 : fmax(0, f->now.chords.beats_to_next - moved);
}

RlTarget
rl_follower_target(const RlFollower *const f, const int change)
{
  return change >= 0 && rl_hand_same(&f->snapshot->hand, &f->settings.hand)
           ? f->snapshot->line.target[change]
           : (RlTarget){0};
}
