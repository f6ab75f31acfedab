#include "clock.h"

#include <math.h>
#include <string.h>

static const float told = 1.0F, guessed = 0.5F;

/* The habit of Ardour 7: bar_beat is int(beat) + ticks / 1920 with 1920 ticks in a quarter whatever
   the meter's unit, so that the fraction counts quarters. In a meter of halves it rounds the quarter
   to a beat: quarters 2i - 1 and 2i of a bar both read i. Measured; see tests/hosts. */
enum { TICKS_IN_QUARTER = 1920, HABIT_SURE = 4 };

void
rl_clock_init(RlClock *const clock, const double rate)
{
  memset(clock, 0, sizeof(*clock));
  clock->rate          = rate;
  clock->beats_per_bar = 4;
  clock->unit          = 4;
  clock->speed         = 1;
}

void
rl_clock_advance(RlClock *const clock, const int64_t frames)
{
  clock->now += frames;
}

/* ---- bars and beats ---- */

static double
quarters_in(const RlClock *const c, const double beats)
{
  return beats * 4 / c->unit;
}

static double
beats_in(const RlClock *const c, const double quarters)
{
  return quarters * c->unit / 4;
}

/* The same place with its beat inside the bar. */
static RlBarBeat
carried(const RlClock *const c, const RlBarBeat place)
{
  const double bars = floor(place.beat / c->beats_per_bar);
  return (RlBarBeat){place.bar + (int64_t)bars, place.beat - bars * c->beats_per_bar};
}

/* Quarters from one place to another, bars between them in the present meter. */
static double
distance(const RlClock *const c, const RlBarBeat from, const RlBarBeat to)
{
  return quarters_in(c, (double)(to.bar - from.bar) * c->beats_per_bar + to.beat - from.beat);
}

static double
elapsed(const RlClock *const c, const int64_t ahead)
{
  return c->rolling ? fmax(0, (double)(c->now + ahead - c->at) - c->hold) : 0;
}

static RlBarBeat
place_at(const RlClock *const c, const int64_t ahead)
{
  return carried(c, (RlBarBeat){c->from.bar, c->from.beat + c->per_frame * elapsed(c, ahead)});
}

/* Quarters since the start bar at the bar line of `bar`, along the present line. */
static double
quarters_at(const RlClock *const c, const int64_t bar)
{
  return c->quarters_at_bar + quarters_in(c, (double)(bar - c->from.bar) * c->beats_per_bar);
}

/* Quarters in a beat of the tempo, unless measuring says otherwise. */
static double
habitual_note(const RlClock *const c)
{
  return c->habit > 0 ? 1 : 4.0 / c->unit;
}

/* Beats of the meter a minute as reported. */
static double
tempo_in_beats(const RlClock *const c)
{
  return beats_in(c, c->tempo * (c->note > 0 ? c->note : habitual_note(c)));
}

/* Has the line, with no report since, come through the start bar? Then the count is right. */
static bool
passed_start(const RlClock *const c, const int64_t bar)
{
  return c->from.bar <= c->start_bar && bar >= c->start_bar &&
         fabs(quarters_at(c, c->start_bar)) < 1e-9;
}

RlMoment
rl_clock_moment(const RlClock *const c, const int64_t ahead)
{
  const RlBarBeat place = place_at(c, ahead);
  RlMoment        moment;
  moment.known         = c->known;
  moment.rolling       = c->rolling;
  moment.unit          = c->unit;
  moment.bar           = place.bar;
  moment.beat          = place.beat;
  moment.beats_per_bar = c->beats_per_bar;
  moment.per_frame     = c->rolling ? c->per_frame : 0;
  moment.tempo         = c->rolling ? fabs(c->per_frame) * c->rate * 60 : tempo_in_beats(c);
  moment.quarters      = quarters_at(c, place.bar) + quarters_in(c, place.beat);
  moment.sure          = c->sure;
  moment.quarters_sure = passed_start(c, place.bar) ? c->sure : c->quarters_sure;
  return moment;
}

/* The line goes on from here. */
static void
line_from(RlClock *const c, const RlBarBeat place, const double quarters_at_bar, const double hold)
{
  c->from            = place;
  c->at              = c->now;
  c->hold            = hold;
  c->quarters_at_bar = quarters_at_bar;
}

/* ---- what cannot be ---- */

static bool
within(const double value, const double low, const double high)
{
  return value >= low && value <= high; /* false for what is not a number */
}

/* The report without what cannot be. Where half of bar and bar_beat is nonsense, so is the other. */
static RlReport
believable(RlReport r)
{
  static const int64_t frame_max = (int64_t)1 << 52;
  const bool bar   = within((double)r.bar, -1e6, 1e6);
  const bool beat  = within(r.bar_beat, -1e5, 1e5);
  const bool place = (bar || !(r.said & RL_SAID_BAR)) && (beat || !(r.said & RL_SAID_BAR_BEAT));
  const bool unit  = within(r.beat_unit, 1, 128) && floor(r.beat_unit) == r.beat_unit;
  unsigned   drop  = place ? 0 : RL_SAID_BAR | RL_SAID_BAR_BEAT;
  drop |= r.frame >= -frame_max && r.frame <= frame_max ? 0 : RL_SAID_FRAME;
  drop |= within(r.speed, -64, 64) ? 0 : RL_SAID_SPEED;
  drop |= within(r.beat, -1e9, 1e9) ? 0 : RL_SAID_BEAT;
  drop |= unit ? 0 : RL_SAID_BEAT_UNIT;
  drop |= within(r.beats_per_bar, 0.125, 1024) ? 0 : RL_SAID_BEATS_PER_BAR;
  drop |= within(r.tempo, 0.1, 10000) ? 0 : RL_SAID_TEMPO;
  r.said &= ~drop;
  return r;
}

/* ---- what bar_beat means ---- */

/* The place that `frame` would be at had tempo and meter always been these: only good to tell
   readings a quarter apart. */
static double
quarters_by_frame(const RlClock *const c)
{
  return (double)c->frame / c->rate * c->tempo / 60 * (c->note > 0 ? c->note : habitual_note(c));
}

/* Undoes the habit. Where it leaves several quarters open, the one nearest to `expected`. */
static RlBarBeat
decode(const RlClock *const c, const RlBarBeat said, const RlBarBeat *const expected)
{
  const double beat = floor(said.beat);
  const double part = said.beat - beat;
  if (c->unit >= 4) {
    return (RlBarBeat){said.bar, beat + part * c->unit / 4};
  }
  const int       open  = 4 / c->unit;
  const RlBarBeat start = {0, 0};
  RlBarBeat       best  = {said.bar, beat + beats_in(c, part)};
  const double by_frame = c->frame_told ? quarters_by_frame(c) : 0;
  double       off      = expected ? fabs(distance(c, *expected, best))
                                   : fabs(distance(c, start, best) - by_frame);
  const double enough   = expected ? HUGE_VAL : 0.25;
  for (int k = -open / 2; k < open - open / 2; ++k) {
    const RlBarBeat other = carried(c, (RlBarBeat){said.bar, beat + beats_in(c, k + part)});
    const double    miss  = expected ? fabs(distance(c, *expected, other))
                                     : fabs(distance(c, start, other) - by_frame);
    best = miss < off && miss < enough ? other : best;
    off  = fmin(miss < enough ? miss : off, off);
  }
  return best;
}

/* Follows one reading; returns how far (in quarters) this step strays from the pace of the last. */
static double
reading_follow(const RlClock *const c, RlReading *const reading, const RlBarBeat place,
               const int64_t frames)
{
  const double slope = distance(c, reading->place, place) / (double)frames;
  const double stray =
    reading->slope >= 0 ? fabs(slope - reading->slope) * (double)frames : 0;
  *reading = (RlReading){place, slope};
  return stray;
}

/* Which reading keeps an even pace? The other one leaps at every beat. */
static void
habit_learn(RlClock *const c, const RlBarBeat said, const bool steady)
{
  enum { LITERAL, DECODED };
  static const double leap   = 0.1; /* quarters; the smallest is a quarter less its quarter, in x/8 0.25 */
  const int64_t       frames = c->now - c->read_at;
  RlReading *const    last   = c->reading;
  const RlBarBeat     expected =
    carried(c, (RlBarBeat){last[DECODED].place.bar,
                           last[DECODED].place.beat +
                             beats_in(c, fmax(0, last[DECODED].slope) * (double)frames)});
  if (!steady || frames <= 0) {
    last[LITERAL] = (RlReading){said, -1};
    last[DECODED] = (RlReading){decode(c, said, NULL), -1};
  } else {
    const double literal = reading_follow(c, &last[LITERAL], said, frames);
    const double decoded = reading_follow(c, &last[DECODED], decode(c, said, &expected), frames);
    const int    was     = c->habit;
    c->habit += c->unit == 4 ? 0 : (literal > decoded + leap) - (decoded > literal + leap);
    c->habit = c->habit > HABIT_SURE ? HABIT_SURE : c->habit < -HABIT_SURE ? -HABIT_SURE : c->habit;
    c->note  = (was > 0) == (c->habit > 0) ? c->note : 0;
  }
  c->read_at = c->now;
}

/* ---- tempo ---- */

static void
milestones_reset(RlClock *const c)
{
  c->milestone[0] = c->milestone[1] = (RlMilestone){c->now, c->travel};
}

static void
milestones_move(RlClock *const c)
{
  if ((double)(c->now - c->milestone[1].at) > 0.05 * c->rate) {
    c->milestone[0] = c->milestone[1];
    c->milestone[1] = (RlMilestone){c->now, c->travel};
  }
}

/* Quarters a frame: the reported tempo in whichever note value agrees with the distance travelled;
   where none does (a ramp, say) the distance itself. Reports may be off by a tick each. */
static double
pace(RlClock *const c)
{
  static const double notes[] = {0, 1, 0.5, 1.5, 2, 0.25};
  static const double blur    = 1.0 / TICKS_IN_QUARTER;
  const double base     = c->tempo * c->speed / (60 * c->rate);
  const double frames   = (double)(c->now - c->milestone[0].at);
  const double measured = frames > 0 ? (c->travel - c->milestone[0].travel) / frames : 0;
  const double doubt    = frames > 0 ? 2 * blur / frames + 0.003 * fabs(measured) : HUGE_VAL;
  const double usual    = c->note > 0 ? c->note : habitual_note(c);
  if (c->tempo > 0 && fabs(base * usual - measured) <= doubt) {
    return base * usual;
  }
  for (unsigned i = 0; c->tempo > 0 && i < sizeof(notes) / sizeof(notes[0]); ++i) {
    const double note = notes[i] > 0 ? notes[i] : habitual_note(c);
    if (fabs(base * note - measured) <= doubt) {
      c->note = notes[i];
      return base * note;
    }
  }
  const bool clear = doubt < 0.1 * fabs(measured) || c->tempo <= 0;
  return clear && frames > 0 ? measured : base * usual;
}

/* ---- where the report puts us ---- */

/* Fills in what a report leaves out; false if it says nothing about the place. */
static bool
place_said(const RlClock *const c, const RlReport *const r, const RlBarBeat now, RlBarBeat *const said)
{
  const unsigned place = r->said & (RL_SAID_BAR | RL_SAID_BAR_BEAT);
  if (place == (RL_SAID_BAR | RL_SAID_BAR_BEAT)) {
    *said = (RlBarBeat){r->bar, r->bar_beat};
  } else if (place == RL_SAID_BAR) {
    *said = c->known && now.bar == r->bar ? now : (RlBarBeat){r->bar, 0};
  } else if (place == RL_SAID_BAR_BEAT && c->known) {
    const double bars = round((now.beat - r->bar_beat) / c->beats_per_bar);
    *said             = (RlBarBeat){now.bar + (int64_t)bars, r->bar_beat};
  } else if (r->said & RL_SAID_BEAT) {
    const double in_bar = place ? r->bar_beat : fmod(r->beat, c->beats_per_bar);
    *said = carried(c, (RlBarBeat){llround((r->beat - in_bar) / c->beats_per_bar), in_bar});
  } else {
    return false;
  }
  return true;
}

/* Quarters at the bar line of `place` after a jump: from time:beat if it was sent, else as if the
   present meter had held since the start bar. */
static double
quarters_anew(RlClock *const c, const RlReport *const r, const RlBarBeat place)
{
  const double bars = (double)(place.bar - c->start_bar);
  if (r->said & RL_SAID_BEAT) {
    const double at_bar  = r->beat - place.beat;
    const bool   origin  = place.bar == c->start_bar;
    c->beat_origin       = origin ? at_bar : c->beat_origin_told ? c->beat_origin : 0;
    c->beat_origin_told  = c->beat_origin_told || origin;
    const bool exact     = c->beat_origin_told || c->start_bar == 0;
    c->quarters_sure     = exact ? c->sure : guessed;
    return quarters_in(c, exact ? at_bar - c->beat_origin : bars * c->beats_per_bar);
  }
  c->quarters_sure = place.bar == c->start_bar ? c->sure : guessed;
  return quarters_in(c, bars * c->beats_per_bar);
}

/* Does this report go on from where the line is, give or take a wrong tempo? */
static bool
goes_on(const RlClock *const c, const double off, const int64_t frames)
{
  const double moved = fabs(quarters_in(c, c->per_frame)) * (double)frames;
  return c->known && fabs(off) <= 1.1 * moved + 0.02;
}

/* The report and the line agree but for a little: follow without ever going back. */
static void
follow(RlClock *const c, const RlBarBeat now, const RlBarBeat said, const double off,
       const double per_quarter_frame)
{
  static const double float_blur = 2.5e-7; /* of a bar_beat sent as a Float, relative */
  const double        grain      = c->habit > 0 ? 1.0 / TICKS_IN_QUARTER : 0;
  const double        blur       = quarters_in(c, float_blur * (1 + fabs(said.beat)));
  const double        quarters   = quarters_at(c, now.bar);
  const double        too_far    = -(off + blur + grain);
  if (off > blur || said.bar > now.bar || per_quarter_frame < 0) {
    const double at_bar = quarters + quarters_in(c, now.beat) + off - quarters_in(c, said.beat);
    line_from(c, said, at_bar, 0);
  } else if (too_far > 0) {
    line_from(c, now, quarters, per_quarter_frame > 0 ? too_far / per_quarter_frame : 0);
  } else if (per_quarter_frame != quarters_in(c, c->per_frame)) {
    line_from(c, now, quarters, 0);
  }
  if (c->from.bar == c->start_bar) {
    c->quarters_at_bar = 0;
    c->quarters_sure   = c->sure;
  }
}

/* A report that says where we are: `heard`, as it was sent. `frame_fits`: its frame is the one due. */
static void
place_take(RlClock *const c, const RlReport *const r, const RlBarBeat now, const RlBarBeat heard,
           const bool frame_fits, const bool steady)
{
  const bool both = (r->said & RL_SAID_BAR) && (r->said & RL_SAID_BAR_BEAT);
  if (both) {
    habit_learn(c, heard, steady && !c->new_meter);
  }
  const bool      decodes = both && c->habit > 0 && c->unit != 4;
  const RlBarBeat said =
    carried(c, decodes ? decode(c, heard, c->known && frame_fits ? &now : NULL) : heard);
  const double off  = distance(c, now, said);
  const bool   on   = steady && goes_on(c, off, c->now - c->said_at);
  c->sure           = c->meter_told && (r->said & RL_SAID_BAR) ? told : guessed;
  c->travel += distance(c, c->said, said);
  if (!on || c->new_meter) {
    milestones_reset(c);
  }
  const double quarter_pace = pace(c);
  const double here         = quarters_at(c, now.bar) + quarters_in(c, now.beat);
  if (on && fabs(off) < 0.25 * c->rate * fabs(quarter_pace)) {
    follow(c, now, said, off, quarter_pace);
  } else {
    /* Stopped and started again in the same place is no jump: counted quarters go on. */
    const bool counted =
      c->known && fabs(off) < 0.01 && !(r->said & RL_SAID_BEAT) && said.bar != c->start_bar;
    line_from(c, said,
              counted ? here + off - quarters_in(c, said.beat) : quarters_anew(c, r, said), 0);
  }
  c->per_frame = beats_in(c, quarter_pace);
  c->known     = true;
  c->said      = said;
  c->new_meter = false;
  milestones_move(c);
}

/* A report without a place: the line goes on, moved by as much as the frame has jumped. */
static void
place_keep(RlClock *const c, const RlReport *const r, const RlBarBeat now, const int64_t jump)
{
  milestones_reset(c);
  const double    per_frame = c->tempo > 0 ? beats_in(c, pace(c)) : c->per_frame;
  const RlBarBeat place     = carried(c, (RlBarBeat){now.bar, now.beat + (double)jump * per_frame});
  const bool      silent    = (r->said & RL_SAID_FRAME) && c->bar_told_with_frame;
  c->sure                   = jump || silent ? guessed : c->sure;
  c->quarters_sure          = fminf(c->quarters_sure, c->sure);
  line_from(c, place, quarters_at(c, place.bar), 0);
  c->per_frame = per_frame;
  c->said      = place;
}

/* Where the line is, told in the report's meter. A new meter begins at a bar line: the one just
   passed, or the one ahead if the report is already behind it. What was counted stays counted. */
static RlBarBeat
meter_take(RlClock *const c, const RlReport *const r, const RlBarBeat now)
{
  const double unit = r->said & RL_SAID_BEAT_UNIT ? r->beat_unit : c->unit;
  const double bar  = r->said & RL_SAID_BEATS_PER_BAR ? r->beats_per_bar : c->beats_per_bar;
  c->meter_told     = c->meter_told || (r->said & RL_SAID_BEATS_PER_BAR);
  if ((int)unit == c->unit && bar == c->beats_per_bar) {
    return now;
  }
  const RlBarBeat line   = {now.bar + ((r->said & RL_SAID_BAR) && r->bar > now.bar), 0};
  const double    past   = distance(c, line, now);
  const double    at_bar = quarters_at(c, line.bar);
  c->per_frame *= unit / c->unit;
  c->unit          = (int)unit;
  c->beats_per_bar = bar;
  c->new_meter     = true;
  const RlBarBeat same = {line.bar, beats_in(c, past)};
  line_from(c, same, at_bar, 0);
  return same;
}

static void
speed_take(RlClock *const c, const double speed)
{
  c->rolling = speed != 0;
  if (c->rolling && speed != c->speed) {
    c->speed = speed;
    milestones_reset(c);
  }
}

static void
tempo_take(RlClock *const c, const double tempo)
{
  if (tempo != c->tempo) {
    c->tempo = tempo;
    milestones_reset(c);
  }
}

void
rl_clock_report(RlClock *const c, const RlReport *const report)
{
  const RlReport r           = believable(*report);
  const bool     was_rolling = c->rolling;
  const double   frames      = (double)(c->now - c->said_at);
  const int64_t  due         = c->frame + (c->rolling ? llround(frames * c->speed) : 0);
  const int64_t  jump = (r.said & RL_SAID_FRAME) && c->frame_told ? r.frame - due : 0;
  const bool     fits = fabs((double)jump) <= frames;
  const RlBarBeat now = meter_take(c, &r, place_at(c, 0));
  c->habit            = (r.said & RL_SAID_SCALE) && !c->habit ? HABIT_SURE : c->habit;
  c->frame            = r.said & RL_SAID_FRAME ? r.frame : due;
  c->frame_told       = c->frame_told || (r.said & RL_SAID_FRAME);
  if (r.said & RL_SAID_SPEED) {
    speed_take(c, r.speed);
  }
  if (r.said & RL_SAID_TEMPO) {
    tempo_take(c, r.tempo);
  }
  RlBarBeat heard;
  if (place_said(c, &r, now, &heard)) {
    place_take(c, &r, now, heard, fits, was_rolling && c->rolling && fits);
    c->bar_told_with_frame = c->bar_told_with_frame || (r.said & RL_SAID_FRAME);
  } else {
    place_keep(c, &r, now, jump);
  }
  c->said_at = c->now;
}

void
rl_clock_set_start(RlClock *const c, const int64_t bar)
{
  if (bar != c->start_bar) {
    const RlReport  nothing = {0};
    const RlBarBeat now     = place_at(c, 0);
    c->start_bar            = bar;
    c->beat_origin_told     = false;
    line_from(c, now, quarters_anew(c, &nothing, now), 0);
  }
}
