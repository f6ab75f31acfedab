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
rl_follower_init(RlFollower *const l, const double rate, const RlSnapshot *const snapshot)
{
  memset(l, 0, sizeof(*l));
  l->rate               = rate;
  l->left               = INT64_MAX;
  l->now.place.index    = -1;
  l->settings.start_bar = 1;
  rl_clock_init(&l->clock, rate);
  rl_taps_init(&l->taps, rate);
  rl_follower_snapshot(l, snapshot);
}

/* ---- from a moment to a place ---- */

static Stretch
host_stretch(const RlFollower *const l)
{
  const RlMoment m     = rl_clock_moment(&l->clock, 0);
  const bool     bars  = !l->settings.by_beats;
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
taps_stretch(const RlFollower *const l)
{
  const RlPulse p = rl_taps_pulse(&l->taps, 0);
  return (Stretch){p.known,     p.rolling, RL_AXIS_FELT, p.felt,
                   p.per_frame, p.tempo,   p.sure,       p.straight};
}

static Stretch
stretch(const RlFollower *const l)
{
  return l->settings.by_taps ? taps_stretch(l) : host_stretch(l);
}

/* Where bar 1 of the form lies along an axis. */
static double
bar_one_of(const RlFollower *const l, const RlAxis axis)
{
  const RlBarOne *const said = &l->bar_one;
  if (axis == RL_AXIS_FELT) {
    return l->taps_bar_one;
  }
  if (said->set && said->axis == (int32_t)axis && said->start_bar == l->settings.start_bar) {
    return said->at;
  }
  return rl_form_lead_in(&l->snapshot->form, axis) +
         (axis == RL_AXIS_BARS ? l->settings.start_bar - 1 : 0);
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
turn_at(const RlFollower *const l, const RlPlace *const place)
{
  RlChordsAt chords = l->now.chords;
  if (l->turned != l->snapshot || !same_beat(place, &l->now.place)) {
    return rl_form_chords_at(&l->snapshot->form, place);
  }
  chords.beats_to_next -= chords.next < 0 ? 0 : place->beat - l->now.place.beat;
  return chords;
}

static void
look(RlFollower *const l)
{
  const Stretch s   = stretch(l);
  RlNow         now = {.place = {.part = RL_PART_NOWHERE, .index = -1}, .chords = {-1, -1, 0}};
  if (s.known) {
    const double slack = (s.per_frame < 0 ? -s.per_frame : s.per_frame) * frame_slack;
    now.place   = rl_form_locate(&l->snapshot->form, s.axis, s.at - l->bar_one_at[s.axis], slack);
    now.chords  = turn_at(l, &now.place);
    now.rolling = s.rolling;
    now.tempo   = s.tempo * now.place.beats_per_step;
    now.sure    = s.sure;
    now.beats_per_frame = s.per_frame * now.place.beats_per_step;
  }
  l->now    = now;
  l->turned = l->snapshot;
  l->since  = 0;
  l->left   = frames_to_look(&now, s.left);
  ++l->looks;
}

/* What hangs on snapshot and settings alone. */
static void
prepare(RlFollower *const l)
{
  for (int axis = 0; axis < RL_AXES; ++axis) {
    l->bar_one_at[axis] = bar_one_of(l, (RlAxis)axis);
  }
  l->key      = rl_snapshot_key(l->snapshot, l->settings.hand.song_key);
  l->position = rl_harp_position(l->settings.hand.harp.key, rl_spelling_class(l->key.tonic));
  look(l);
}

/* ---- what happens ---- */

void
rl_follower_restart(RlFollower *const l)
{
  rl_clock_init(&l->clock, l->rate);
  rl_clock_set_start(&l->clock, l->settings.start_bar - 1);
  rl_taps_init(&l->taps, l->rate);
  l->taps_bar_one = 0;
  prepare(l);
}

static void
bar_one_set(RlFollower *const l, const RlBarOne bar_one)
{
  l->bar_ones += l->bar_one.set || bar_one.set;
  l->bar_one = bar_one;
}

void
rl_follower_snapshot(RlFollower *const l, const RlSnapshot *const snapshot)
{
  const bool first     = !l->snapshot;
  const bool brings    = first || snapshot->bar_one_version != l->snapshot->bar_one_version;
  const bool new_chart = first || snapshot->version[RL_CHART] != l->snapshot->version[RL_CHART];
  if (brings) {
    l->bar_one = snapshot->bar_one;
  } else if (new_chart) {
    bar_one_set(l, (RlBarOne){0});
  }
  l->taps_bar_one = brings || new_chart ? 0 : l->taps_bar_one;
  l->snapshot     = snapshot;
  prepare(l);
}

void
rl_follower_settings(RlFollower *const l, const RlSettings *const settings)
{
  const bool moved = settings->start_bar != l->settings.start_bar;
  if (moved && settings->start_bar != l->bar_one.start_bar) {
    bar_one_set(l, (RlBarOne){0});
  }
  l->settings = *settings;
  rl_clock_set_start(&l->clock, settings->start_bar - 1);
  prepare(l);
}

void
rl_follower_report(RlFollower *const l, const RlReport *const report)
{
  if (rl_clock_report(&l->clock, report) && !l->settings.by_taps) {
    look(l);
  }
}

static void
tap(RlFollower *const l)
{
  const bool was_rolling = rl_taps_pulse(&l->taps, 0).rolling;
  rl_taps_tap(&l->taps);
  if (!was_rolling) {
    l->taps_bar_one = 0; /* a new count-in leads to bar 1 */
  }
}

static void
bar_one_now(RlFollower *const l)
{
  const Stretch s    = stretch(l);
  const double  from = l->bar_one_at[s.axis];
  const double  line = from + rl_form_nearest_bar(&l->snapshot->form, s.axis, s.at - from);
  if (s.axis != RL_AXIS_FELT && s.known) {
    bar_one_set(l, (RlBarOne){true, (int32_t)s.axis, l->settings.start_bar, line});
  } else if (s.axis == RL_AXIS_FELT) {
    l->taps_bar_one = s.rolling ? line : 0;
    if (!s.rolling) {
      rl_taps_start(&l->taps, l->snapshot->form.tempo);
    }
  }
}

void
rl_follower_pedal(RlFollower *const l, const RlPedal pedal)
{
  if (pedal == RL_PEDAL_BAR_ONE) {
    bar_one_now(l);
  } else if (l->settings.by_taps && pedal == RL_PEDAL_TAP) {
    tap(l);
  } else if (l->settings.by_taps && pedal == RL_PEDAL_STOP) {
    rl_taps_stop(&l->taps);
  }
  prepare(l);
}

int64_t
rl_follower_straight(const RlFollower *const l, const int64_t frames)
{
  return frames < l->left ? frames : l->left;
}

int64_t
rl_follower_advance(RlFollower *const l, const int64_t frames)
{
  const int64_t passed = rl_follower_straight(l, frames);
  rl_clock_advance(&l->clock, passed);
  rl_taps_advance(&l->taps, passed);
  l->since += passed;
  l->left -= l->left == INT64_MAX ? 0 : passed;
  if (l->left == 0) {
    look(l);
  }
  return passed;
}

double
rl_follower_beat(const RlFollower *const l)
{
  return l->now.place.beat + l->now.beats_per_frame * (double)l->since;
}

float
rl_follower_shown_beat(const RlFollower *const l)
{
  const RlPart part = l->now.place.part;
  const float  end  = (float)l->now.place.beats + 1;
  const float  beat = (float)rl_follower_beat(l) + 1;
  if (part == RL_PART_NOWHERE || part == RL_PART_OVER) {
    return 0;
  }
  return beat < 1 ? 1 : beat < end ? beat : nextafterf(end, 0);
}

double
rl_follower_beats_to_next(const RlFollower *const l)
{
  const double moved = rl_follower_beat(l) - l->now.place.beat;
  return l->now.chords.next < 0 ? 0 : fmax(0, l->now.chords.beats_to_next - moved);
}

RlTarget
rl_follower_target(const RlFollower *const l, const int change)
{
  return change >= 0 && rl_hand_same(&l->snapshot->hand, &l->settings.hand)
           ? l->snapshot->line.target[change]
           : (RlTarget){0};
}
