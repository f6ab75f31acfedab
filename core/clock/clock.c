/* SPDX-License-Identifier: ISC */
#include "core/clock/clock.h"

#include "core/clock/bars.h"
#include "core/clock/line.h"
#include "core/clock/meter.h"
#include "core/clock/report.h"
#include "core/clock/tempo.h"
#include "core/clock/ticks.h"
#include "core/clock/whole.h"

#include <assert.h>
#include <math.h>
#include <string.h>

void
rl_clock_init(RlClock *const clock, const double rate)
{
  assert(clock && rate > 0);
  memset(clock, 0, sizeof(*clock));
  clock->rate          = rate;
  clock->beats_per_bar = 4;
  clock->unit          = 4;
  clock->speed         = 1;
  clock->quarter_ticks = -RL_QUARTER_TICKS_SURE;
  clock->whole.first   = 1;
}

RlMoment
rl_clock_moment(const RlClock *const c, const int64_t ahead)
{
  const RlBarBeat place = rl_clock_line_place(c, ahead);
  const double    shown =
    c->note_presumed ? rl_clock_tempo_note(c) / rl_clock_tempo_note_presumed(c) : 1;
  const double rolls = fabs(c->per_frame) * c->rate * 60 * shown;
  return (RlMoment){
    .known         = c->known,
    .rolling       = c->rolling,
    .unit          = c->unit,
    .bar           = place.bar,
    .beat          = place.beat,
    .beats_per_bar = c->beats_per_bar,
    .per_frame     = c->rolling ? c->per_frame : 0,
    .tempo         = c->rolling ? rolls : rl_clock_beats(c, c->tempo * rl_clock_tempo_note(c)),
    .quarters      = rl_clock_line_count(c, place) - rl_clock_line_miscount(c, place.bar),
    .sure          = c->sure,
    .quarters_sure = rl_clock_line_passes_start(c, place.bar) ? c->sure : c->quarters_sure};
}

/* ---- the count ---- */

/* Can the count be read off the report's time:beat? */
static bool
counts_beats(const RlClock *const c, const RlReport *const r)
{
  return (r->said & RL_SAID_BEAT) && !c->units_mixed && (c->beat_origin_told || c->start_bar == 0);
}

/* At `place` after a jump: by time:beat if it was sent, else as if the present meter had held since
   the start bar. */
static double
count_anew(RlClock *const c, const RlReport *const r, const RlBarBeat place)
{
  const bool by_beat = counts_beats(c, r);
  c->quarters_sure   = by_beat ? rl_clock_told : rl_clock_estimated;
  return by_beat ? rl_clock_quarters(c, r->beat - c->beat_origin)
                 : rl_clock_count_by_bars(c, place);
}

static void
beat_store(RlClock *const c, const RlReport *const r, const RlBarBeat place)
{
  if (r->said & RL_SAID_BEAT) {
    c->beat      = r->beat;
    c->beat_told = true;
    if (place.bar == c->start_bar) {
      c->beat_origin      = r->beat - place.beat;
      c->beat_origin_told = true;
    }
  }
}

/* ---- following the reports ---- */

/* Does the place told continue the line, `off` quarters away? Allowed for: a wrong tempo, and what
   the line has still to stand still. Where the frame is the one expected, or no tempo is known, any
   tempo will do. */
static bool
goes_on(const RlClock *const c, const RlClockStep *const step, const double off)
{
  static const double any    = 600; /* quarters a minute */
  const bool          free   = step->exact || c->tempo <= 0;
  const double        minute = 60 * c->rate;
  const double        old    = fabs(rl_clock_quarters(c, c->per_frame));
  const double        now    = c->tempo * rl_clock_tempo_note(c) / minute;
  const double fastest = rl_clock_larger(1.1 * rl_clock_larger(old, now), free ? any / minute : 0);
  const double waits   = rl_clock_larger(c->hold - (double)(c->now - c->at), 0) * old;
  return step->steady && c->known &&
         fabs(off) <= fastest * rl_clock_smaller(step->frames, 0.5 * c->rate) + waits + 0.02;
}

/* Where both agree within the rounding of what was sent, the line stays as it is. Else it goes on
   from `now` or, if that is further, from the place told, `off` quarters away. It never goes back:
   it stands still until the music has caught up. */
static void
line_follow(RlClock *const c, const RlBarBeat now, const RlBarBeat said, const double off,
            const double quarter_pace)
{
  static const double float_blur = 2.5e-7; /* of a bar_beat sent as a Float, relative */
  const double        blur       = rl_clock_quarters(c, float_blur * (1 + fabs(said.beat)));
  const double        grain      = c->ticks == RL_TICKS_SURE ? rl_clock_tick(c) : 0;
  const double        too_far    = rl_clock_larger(-off - blur - grain, 0);
  const double        count      = rl_clock_line_count(c, now);
  if (off > blur || (off > 0 && said.bar > now.bar) || quarter_pace <= 0) {
    rl_clock_line_set(c, said, count + off, 0);
  } else if (too_far > 0 || quarter_pace != rl_clock_quarters(c, c->per_frame)) {
    rl_clock_line_set(c, now, count, too_far / quarter_pace);
  }
}

/* After a jump. Stopping and starting again in the same place is none: the count goes on. */
static void
line_jump(RlClock *const c, const RlReport *const r, const RlBarBeat now, const RlBarBeat said,
          const double off)
{
  const bool same = c->known && fabs(off) < 0.01 && !counts_beats(c, r);
  rl_clock_line_set(c, said, same ? rl_clock_line_count(c, now) + off : count_anew(c, r, said), 0);
}

static float
confidence(const RlClock *const c)
{
  return c->meter_told && c->bar_told && !c->unclear ? rl_clock_told : rl_clock_estimated;
}

/* A report that tells a place, `heard`, as it was sent. */
static void
place_follow(RlClock *const c, const RlReport *const r, const RlBarBeat now, const RlBarBeat heard,
             const RlClockStep *const step)
{
  const bool      whole    = c->whole.span > 0;
  const bool      bar_beat = (r->said & RL_SAID_BAR_BEAT) && !whole;
  const RlBarBeat expected = rl_clock_tempo_place(c, now, step);
  const RlBarBeat decoded =
    whole ? rl_clock_whole_place(c, heard, expected, step) : rl_clock_decode(c, heard, expected);
  if (bar_beat) {
    c->unclear = rl_clock_quarter_unclear(c, heard, decoded, expected, step);
    rl_clock_decode_learn(c, heard, decoded, step);
    rl_clock_ticks_learn(c, heard.beat);
  }
  const RlBarBeat said  = whole || (bar_beat && c->quarter_ticks > 0) ? decoded : heard;
  const double    off   = rl_clock_distance(c, now, said);
  const bool      wrong = /* a quarter or a beat guessed before */
    whole ? c->whole.misled : rl_clock_quarter_open(c) && fabs(off) > 0.5;
  const bool on = goes_on(c, step, off) && !wrong;
  c->restart    = c->restart || !on;
  rl_clock_tempo_window(
    c, step, whole ? rl_clock_whole_travel(c, heard) : rl_clock_distance(c, c->said, said));
  const double quarter_pace = rl_clock_tempo_pace(c);
  c->bar_told               = c->bar_told || (r->said & RL_SAID_BAR);
  c->sure                   = confidence(c);
  if (on) {
    line_follow(c, now, said, off, quarter_pace);
  } else {
    line_jump(c, r, now, said, off);
  }
  beat_store(c, r, said);
  rl_clock_line_recount(c, c->from.bar);
  c->per_frame = rl_clock_beats(c, quarter_pace);
  c->known     = true;
  c->said      = said;
}

/* A report without a place: the line goes on, moved by as much as the frame has jumped. Where the
   place used to come with the frame and no longer does, nobody tells it any more. */
static void
place_extrapolate(RlClock *const c, const RlReport *const r, const RlBarBeat now,
                  const RlClockStep *const step)
{
  const bool      silent = (r->said & RL_SAID_FRAME) && c->place_comes_with_frame;
  const double    ahead  = rl_clock_tempo_beats(c, step->jump);
  const bool      waits  = step->runs && ahead < 0; /* never back for an unsaid speed */
  const RlBarBeat place  = waits ? now : rl_clock_move(c, now, ahead);
  c->restart             = true;
  c->readings            = 0;
  rl_clock_tempo_window(c, step, 0);
  const double quarter_pace = rl_clock_tempo_pace(c);
  c->bar_told               = c->bar_told && !silent && step->jump == 0;
  c->sure                   = confidence(c);
  c->quarters_sure          = fminf(c->quarters_sure, c->sure);
  if (step->jump != 0 || step->runs != c->rolling ||
      quarter_pace != rl_clock_quarters(c, c->per_frame)) {
    rl_clock_line_set(c, place,
                      rl_clock_line_count(c, now) + (waits ? 0 : rl_clock_quarters(c, ahead)),
                      waits ? -step->jump : 0);
  }
  c->per_frame = rl_clock_beats(c, quarter_pace);
  if (!c->known) {
    c->said.beat = r->said & RL_SAID_BAR_BEAT ? r->bar_beat : c->said.beat;
  } else if (step->jump != 0 || !rl_clock_completes(c, step)) {
    c->said = place;
  }
}

/* All that a moment is made from. */
typedef struct {
  RlBarBeat from;
  int64_t   at;
  double    hold, per_frame, quarters_at_bar, beats_per_bar, tempo, note;
  float     sure, quarters_sure;
  int       unit;
  bool      known, rolling, note_presumed;
} Line;

static Line
line_of(const RlClock *const c)
{
  return (Line){c->from,          c->at,    c->hold,    c->per_frame,    c->quarters_at_bar,
                c->beats_per_bar, c->tempo, c->note,    c->sure,         c->quarters_sure,
                c->unit,          c->known, c->rolling, c->note_presumed};
}

static bool
same_line(const Line *const a, const Line *const b)
{
  return a->at == b->at && a->from.bar == b->from.bar && a->from.beat == b->from.beat &&
         a->hold == b->hold && a->per_frame == b->per_frame &&
         a->quarters_at_bar == b->quarters_at_bar && a->beats_per_bar == b->beats_per_bar &&
         a->tempo == b->tempo && a->note == b->note && a->sure == b->sure &&
         a->quarters_sure == b->quarters_sure && a->unit == b->unit && a->known == b->known &&
         a->rolling == b->rolling && a->note_presumed == b->note_presumed;
}

bool
rl_clock_report(RlClock *const c, const RlReport *const report)
{
  RlReport   r   = *report;
  const Line was = line_of(c);
  RlBarBeat  now = rl_clock_line_place(c, 0);
  RlBarBeat  heard;
  const bool whole = rl_clock_whole_said(report);
  c->whole.span    = 0;
  if (whole) {
    rl_clock_whole_learn(c, &r);
    rl_clock_whole_begin(c, &r);
  }
  r.said = rl_report_valid(&r);
  rl_clock_line_recount(c, now.bar);
  RlClockStep step = rl_clock_step(c, &r);
  if (whole) {
    rl_clock_whole_read(c, report, &step, &r);
  }
  now = rl_clock_meter_follow(c, &r, now, &step);
  rl_clock_tempo_follow(c, &r, &step);
  if ((r.said & RL_SAID_SCALE) && !c->scale_told) {
    c->scale_told    = true;
    c->quarter_ticks = RL_QUARTER_TICKS_SURE;
  }
  if (rl_clock_report_place(c, &r, now, &step, &heard)) {
    place_follow(c, &r, now, heard, &step);
    c->place_comes_with_frame = c->place_comes_with_frame || (r.said & RL_SAID_FRAME);
  } else {
    place_extrapolate(c, &r, now, &step);
  }
  c->said_at    = c->now;
  const Line is = line_of(c);
  return !same_line(&is, &was);
}

void
rl_clock_set_start(RlClock *const c, const int64_t bar)
{
  static const int64_t most = 1000000; /* bars */
  if (bar != c->start_bar) {
    const RlReport  nothing = {0};
    const RlBarBeat now     = rl_clock_line_place(c, 0);
    c->start_bar            = bar < -most ? -most : bar > most ? most : bar;
    c->beat_origin          = 0;
    c->beat_origin_told     = false;
    rl_clock_line_set(c, now, count_anew(c, &nothing, now), 0);
    rl_clock_line_recount(c, now.bar);
  }
}
