/* SPDX-License-Identifier: ISC */
#include "core/clock/clock.h"

#include <math.h>
#include <string.h>

static const float told = 1.0F, guessed = 0.5F;

/* The habit of Ardour 7: bar_beat is int(beat) + ticks / 1920 with 1920 ticks in a quarter whatever
   the meter's unit, so that the fraction counts quarters. In a meter of halves it rounds the
   quarter to a beat: quarters 2i - 1 and 2i of a bar both read i. Measured; see tests/hosts. */
enum { TICKS = 1920, HABIT_SURE = 4, TICKS_SURE = 8 };

void
rl_clock_init(RlClock *const clock, const double rate)
{
  memset(clock, 0, sizeof(*clock));
  clock->rate          = rate;
  clock->beats_per_bar = 4;
  clock->unit          = 4;
  clock->speed         = 1;
  clock->habit         = -HABIT_SURE;
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
  static const double most = 1e12; /* bars: nonsense, but no overflow */
  if (place.beat >= 0 && place.beat < c->beats_per_bar) {
    return place;
  }
  const double bars = floor(place.beat / c->beats_per_bar);
  const double beat = place.beat - bars * c->beats_per_bar;
  const double bar  = fmax(-most, fmin(most, (double)place.bar + bars));
  const bool   over = beat >= c->beats_per_bar; /* by rounding, just below a bar line */
  return (RlBarBeat){(int64_t)bar + over, over || beat < 0 ? 0 : beat};
}

/* Quarters from one place to another, bars between them in the present meter. */
static double
distance(const RlClock *const c, const RlBarBeat from, const RlBarBeat to)
{
  return quarters_in(c, (double)(to.bar - from.bar) * c->beats_per_bar + to.beat - from.beat);
}

static RlBarBeat
moved(const RlClock *const c, const RlBarBeat place, const double beats)
{
  return carried(c, (RlBarBeat){place.bar, place.beat + beats});
}

/* ---- the line ---- */

static RlBarBeat
place_at(const RlClock *const c, const int64_t ahead)
{
  const double frames = fmax(0, (double)(c->now + ahead - c->at) - c->hold);
  return moved(c, c->from, c->rolling ? c->per_frame * frames : 0);
}

/* Quarters since the start bar at a place on the line. */
static double
count_at(const RlClock *const c, const RlBarBeat place)
{
  return c->quarters_at_bar + distance(c, (RlBarBeat){c->from.bar, 0}, place);
}

/* The line goes on from `place`, where so many quarters are counted, after `hold` frames. */
static void
line_from(RlClock *const c, const RlBarBeat place, const double count, const double hold)
{
  c->from            = carried(c, place);
  c->at              = c->now;
  c->hold            = hold;
  c->quarters_at_bar = count - distance(c, (RlBarBeat){c->from.bar, 0}, place);
}

/* Does the line touch the start bar between here and where it began? Then the count is known. */
static bool
passes_start(const RlClock *const c, const int64_t bar)
{
  return (c->from.bar <= c->start_bar && c->start_bar <= bar) ||
         (bar <= c->start_bar && c->start_bar <= c->from.bar);
}

/* How wrong the count is, as the start bar shows. */
static double
miscount(const RlClock *const c, const int64_t bar)
{
  return passes_start(c, bar) ? count_at(c, (RlBarBeat){c->start_bar, 0}) : 0;
}

static void
count_mend(RlClock *const c, const int64_t bar)
{
  c->quarters_at_bar -= miscount(c, bar);
  c->quarters_sure = passes_start(c, bar) ? c->sure : c->quarters_sure;
}

/* As if the present meter had held since the start bar. */
static double
count_by_bars(const RlClock *const c, const RlBarBeat place)
{
  return distance(c, (RlBarBeat){c->start_bar, 0}, place);
}

/* Quarters in a beat of the tempo, unless measuring says otherwise. */
static double
usual_note(const RlClock *const c)
{
  const double habitual = c->habit > 0 ? 1 : 4.0 / c->unit;
  return c->note > 0 ? c->note : habitual;
}

/* Quarters in a beat of the tempo while nothing is measured. Where the host has the habit, and so
   reports every block, rather too few: reports pull the line forwards, but it never goes back. */
static double
presumed_note(const RlClock *const c)
{
  const double usual = usual_note(c);
  return c->habit > 0 && !c->note_sure ? fmin(usual, fmin(1, 4.0 / c->unit)) : usual;
}

RlMoment
rl_clock_moment(const RlClock *const c, const int64_t ahead)
{
  const RlBarBeat place = place_at(c, ahead);
  const double    shown = c->presumes ? usual_note(c) / presumed_note(c) : 1;
  const double    rolls = fabs(c->per_frame) * c->rate * 60 * shown;
  return (RlMoment){.known         = c->known,
                    .rolling       = c->rolling,
                    .unit          = c->unit,
                    .bar           = place.bar,
                    .beat          = place.beat,
                    .beats_per_bar = c->beats_per_bar,
                    .per_frame     = c->rolling ? c->per_frame : 0,
                    .tempo         = c->rolling ? rolls : beats_in(c, c->tempo * usual_note(c)),
                    .quarters      = count_at(c, place) - miscount(c, place.bar),
                    .sure          = c->sure,
                    .quarters_sure = passes_start(c, place.bar) ? c->sure : c->quarters_sure};
}

/* ---- what cannot be ---- */

static bool
within(const double value, const double low, const double high)
{
  return value >= low && value <= high; /* false for what is not a number */
}

static bool
is_unit(const double value)
{
  const int whole = within(value, 1, 128) ? (int)value : 0;
  return whole > 0 && whole == value && !(whole & (whole - 1));
}

/* The report without what cannot be. Where half of bar and bar_beat is nonsense, so is the other.
 */
static RlReport
believable(RlReport r)
{
  static const int64_t most  = (int64_t)1 << 40; /* frames: 66 days at 192 kHz */
  const bool           bar   = within((double)r.bar, -1e6, 1e6) || !(r.said & RL_SAID_BAR);
  const bool           beat  = within(r.bar_beat, -1e5, 1e5) || !(r.said & RL_SAID_BAR_BEAT);
  const bool           frame = r.frame >= -most && r.frame <= most;
  const unsigned       drop  = (bar && beat ? 0U : RL_SAID_BAR | RL_SAID_BAR_BEAT) |
                        (frame ? 0U : RL_SAID_FRAME) |
                        (within(r.speed, -64, 64) ? 0U : RL_SAID_SPEED) |
                        (within(r.beat, -1e9, 1e9) ? 0U : RL_SAID_BEAT) |
                        (is_unit(r.beat_unit) ? 0U : RL_SAID_BEAT_UNIT) |
                        (within(r.beats_per_bar, 0.125, 1024) ? 0U : RL_SAID_BEATS_PER_BAR) |
                        (within(r.tempo, 0.1, 10000) ? 0U : RL_SAID_TEMPO);
  r.said &= ~drop;
  return r;
}

/* ---- from the last report to this one ---- */

typedef struct {
  double frames;
  double song;  /* frames that the song moved, as told, else as due */
  double jump;  /* of which were not due */
  double beats; /* that the tempo told makes of them */
  double blur;  /* in beats: nobody says when in between the tempo changed */
  bool   exact; /* the frame told is the one due */
  bool runs; /* rolling until now; no jump, or one that half or double speed left unsaid explains */
  bool steady; /* and goes on rolling */
} Step;

/* Takes frame and speed. */
static Step
step_take(RlClock *const c, const RlReport *const r)
{
  const double frames = (double)(c->now - c->said_at);
  const double due    = c->rolling ? frames * c->speed : 0;
  const bool   framed = (r->said & RL_SAID_FRAME) && c->frame_told;
  const double off    = framed ? (double)r->frame - c->frame - due : 0;
  const double jump   = fabs(off) <= 1 ? 0 : off; /* halves of frames are not told */
  const bool   soon   = frames < 0.25 * c->rate;
  const bool   halves = soon && within((due + jump) / due, 0.4, 2.1);
  const bool   runs   = c->rolling && (jump == 0 || halves);
  c->frame            = r->said & RL_SAID_FRAME ? (double)r->frame : c->frame + due;
  c->frame_told       = c->frame_told || (r->said & RL_SAID_FRAME);
  if (r->said & RL_SAID_SPEED) {
    c->restart = c->restart || r->speed != c->speed;
    c->rolling = r->speed != 0;
    c->speed   = c->rolling ? r->speed : c->speed;
  }
  return (Step){.frames = frames,
                .song   = due + jump,
                .jump   = jump,
                .exact  = framed && jump == 0,
                .runs   = runs,
                .steady = runs && c->rolling};
}

/* A field that comes now completes what was said, rather than going on from it. */
static bool
completes(const RlClock *const c, const Step *const step)
{
  return !c->known || !step->runs || step->frames <= 0;
}

/* ---- the meter ---- */

static void
meter_set(RlClock *const c, const int unit, const double beats_per_bar)
{
  c->units_mixed = c->units_mixed || (c->unit_told && unit != c->unit);
  c->note_sure   = c->note_sure && unit == c->unit;
  c->restart     = true;
  c->per_frame *= (double)unit / c->unit;
  c->unit          = unit;
  c->beats_per_bar = beats_per_bar;
}

/* Where the music stands the numbers told remain, whatever the meter; and so does the bar line. */
static void
meter_set_standing(RlClock *const c, const int unit, const double beats_per_bar)
{
  const double count = count_at(c, (RlBarBeat){c->said.bar, 0});
  meter_set(c, unit, beats_per_bar);
  line_from(c, c->said, count + quarters_in(c, c->said.beat), 0);
}

/* While it runs a new meter begins at the bar line `bar`, and there we are by now; what is counted
   stays. */
static void
meter_set_running(RlClock *const c, const int unit, const double beats_per_bar, const RlBarBeat now,
                  const int64_t bar)
{
  const RlBarBeat line        = {bar, 0};
  const double    past        = distance(c, line, now);
  const double    said        = distance(c, line, c->said);
  const bool      short_of_it = c->per_frame < 0 ? past > 0 : past < 0;
  const double    count       = count_at(c, short_of_it ? line : now);
  meter_set(c, unit, beats_per_bar);
  c->said = (RlBarBeat){bar, beats_in(c, said)};
  line_from(c, (RlBarBeat){bar, short_of_it ? 0 : beats_in(c, past)}, count, 0);
}

/* The bar line at which a new meter begins: the one just passed, unless the report is behind the
   next or, that left open, the line is all but there. */
static int64_t
meter_line(const RlClock *const c, const RlReport *const r, const RlBarBeat now)
{
  const double near = 0.05 * c->rate * c->per_frame;
  const bool   bar  = (r->said & RL_SAID_BAR) != 0;
  if (c->per_frame < 0) {
    return now.bar + (bar ? r->bar >= now.bar : now.beat > -near);
  }
  return now.bar + (bar ? r->bar > now.bar : c->beats_per_bar - now.beat < near);
}

/* Takes the meter; returns where the line is, told in it. */
static RlBarBeat
meter_take(RlClock *const c, const RlReport *const r, const RlBarBeat now, const Step *const step)
{
  const int    unit  = r->said & RL_SAID_BEAT_UNIT ? (int)r->beat_unit : c->unit;
  const double beats = r->said & RL_SAID_BEATS_PER_BAR ? r->beats_per_bar : c->beats_per_bar;
  c->meter_told      = c->meter_told || (r->said & RL_SAID_BEATS_PER_BAR);
  if (unit == c->unit && beats == c->beats_per_bar) {
    c->unit_told = c->unit_told || (r->said & RL_SAID_BEAT_UNIT);
    return now;
  }
  if (completes(c, step)) {
    meter_set_standing(c, unit, beats);
  } else {
    meter_set_running(c, unit, beats, now, meter_line(c, r, now));
  }
  c->unit_told = c->unit_told || (r->said & RL_SAID_BEAT_UNIT);
  if (c->quarters_sure < told && c->from.bar < c->start_bar) {
    c->quarters_at_bar = count_by_bars(c, (RlBarBeat){c->from.bar, 0});
  }
  return c->from;
}

/* ---- where the report puts us ---- */

/* By time:beat: as far from what was said as the beats have moved; at first as if the present meter
   had held since the beginning. */
static RlBarBeat
place_by_beat(const RlClock *const c, const double beat)
{
  return c->beat_told && c->known ? moved(c, c->said, beat - c->beat)
                                  : moved(c, (RlBarBeat){0, 0}, beat);
}

/* Fills in what a report leaves out of the place; false if it says nothing about it. */
static bool
place_said(const RlClock *const c, const RlReport *const r, const RlBarBeat now,
           const Step *const step, RlBarBeat *const said)
{
  const bool      by_beat  = (r->said & RL_SAID_BEAT) != 0;
  const bool      bar      = (r->said & RL_SAID_BAR) != 0;
  const bool      bar_beat = (r->said & RL_SAID_BAR_BEAT) != 0;
  const bool      stays    = completes(c, step) && !by_beat;
  const RlBarBeat base     = by_beat ? place_by_beat(c, r->beat) : stays ? c->said : now;
  *said                    = base;
  if (bar && bar_beat) {
    *said = (RlBarBeat){r->bar, r->bar_beat};
  } else if (bar) {
    *said = (RlBarBeat){r->bar, stays || by_beat || r->bar == base.bar ? base.beat : 0};
  } else if (bar_beat) {
    const double bars = stays ? 0 : round((base.beat - r->bar_beat) / c->beats_per_bar);
    *said             = (RlBarBeat){base.bar + (int64_t)bars, r->bar_beat};
  }
  return bar || by_beat || (bar_beat && c->known);
}

/* ---- what bar_beat means ---- */

/* Beats that the tempo told makes of so many frames of the song. */
static double
beats_of_song(const RlClock *const c, const double frames)
{
  return beats_in(c, frames / c->rate * c->tempo / 60 * usual_note(c));
}

/* Where the frame told would be, had tempo and meter always been these: good enough to tell
   quarters apart. */
static RlBarBeat
place_by_frame(const RlClock *const c, const RlBarBeat now, const Step *const step)
{
  return c->known ? moved(c, now, beats_of_song(c, step->jump))
                  : moved(c, (RlBarBeat){0, 0}, beats_of_song(c, c->frame));
}

/* Undoes the habit. Where it leaves several quarters open, takes the one nearest to `expected`. */
static RlBarBeat
decode(const RlClock *const c, const RlBarBeat said, const RlBarBeat expected)
{
  const int    open = c->unit < 4 ? 4 / c->unit : 1; /* from -open / 2 quarters on */
  const double beat = floor(said.beat);
  const double part = beats_in(c, said.beat - beat);
  RlBarBeat    best = said;
  double       off  = HUGE_VAL;
  for (int k = -open / 2; k < (open + 1) / 2; ++k) {
    const RlBarBeat other = carried(c, (RlBarBeat){said.bar, beat + beats_in(c, k) + part});
    const double    miss  = fabs(distance(c, expected, other));
    best                  = miss < off ? other : best;
    off                   = fmin(miss, off);
  }
  return best;
}

/* Does the host leave open which quarter is meant? */
static bool
is_open(const RlClock *const c)
{
  return c->habit > 0 && c->unit < 4;
}

/* Must decode() guess a quarter? Where the frame is not the one due, and doesn't agree with one of
   them; the end of the quarter tells. */
static bool
is_unclear(const RlClock *const c, const RlBarBeat said, const RlBarBeat decoded,
           const RlBarBeat expected, const Step *const step)
{
  const RlBarBeat last = c->literal.place;
  const bool      same = said.beat - floor(said.beat) >= last.beat - floor(last.beat);
  const bool      goes = c->known && step->jump == 0;
  return is_open(c) && (goes ? c->unclear && same : fabs(distance(c, expected, decoded)) > 0.2);
}

/* Quarters that a tick may be. */
static double
tick(const RlClock *const c)
{
  return fmax(1, quarters_in(c, 1)) / TICKS;
}

/* Follows one reading; does this step leap off the pace of the steps before? Both are told to a
   tick. */
static bool
reading_follow(const RlClock *const c, RlReading *const reading, const RlBarBeat place,
               const double frames)
{
  static const double leap  = 0.1; /* quarters; at a beat of x/16 it is 3/16, else more */
  const double        way   = distance(c, reading->place, place);
  const double        off   = fabs(way - reading->slope * frames);
  const bool          first = c->readings < 2;
  const bool leaps = !first && off > leap && off > leap + tick(c) * (1 + frames / reading->frames);
  *reading         = leaps ? (RlReading){place, reading->slope, reading->frames}
                           : (RlReading){place, way / frames, frames};
  return leaps;
}

/* Which reading keeps an even pace? The other one leaps at every beat. Meters of eighths and
   shorter tell; one of halves leaves too much open. */
static void
habit_learn(RlClock *const c, const RlBarBeat said, const RlBarBeat decoded, const Step *const step)
{
  const bool runs = step->steady && step->exact && !c->restart && c->unit > 4;
  if (c->readings == 0 || !runs) {
    c->literal.place = said;
    c->decoded.place = decoded;
    c->readings      = c->unit > 4;
    return;
  }
  const bool literal_leaps = reading_follow(c, &c->literal, said, step->frames);
  const bool decoded_leaps = reading_follow(c, &c->decoded, decoded, step->frames);
  const int  was           = c->habit;
  c->readings              = literal_leaps && decoded_leaps ? 0 : 2; /* both: another pace */
  if (literal_leaps != decoded_leaps) {
    c->habit = literal_leaps ? was + (was < HABIT_SURE) : was - (was > -HABIT_SURE);
    c->note  = (was > 0) == (c->habit > 0) ? c->note : 0;
  }
}

/* Does the host count whole ticks? Then a place it tells may be up to a tick behind the music. */
static void
ticks_learn(RlClock *const c, const double bar_beat)
{
  const double ticks = bar_beat * TICKS;
  const bool   whole = fabs(ticks - round(ticks)) < 0.01;
  c->ticks           = !whole ? 0 : c->ticks < TICKS_SURE ? c->ticks + 1 : c->ticks;
}

/* ---- tempo ---- */

/* Takes the tempo. A little change may be one step of a ramp, and is no reason to measure anew; but
   hosts with the habit keep their ramps to themselves. */
static void
tempo_take(RlClock *const c, const RlReport *const r, Step *const step)
{
  const double now          = r->said & RL_SAID_TEMPO ? r->tempo : c->tempo;
  const double was          = c->tempo > 0 ? c->tempo : now;
  const bool   step_of_ramp = c->habit <= 0 && fabs(now - was) < 0.02 * was;
  const bool   leap         = now != was && !step_of_ramp;
  const double half         = step->song / c->rate / 60 / 2;
  step->beats               = (was + now) * half;
  step->blur                = fabs((was - now) * half);
  c->tempo                  = now;
  c->restart                = c->restart || leap;
  c->note_sure              = c->note_sure && !leap;
}

/* Quarters in a beat of the tempo between two milestones; 0 if that cannot be told. */
static double
quarters_a_beat(const RlMilestone *const from, const RlMilestone *const to)
{
  const double beats = to->beats - from->beats;
  return beats != 0 ? (to->travel - from->travel) / beats : 0;
}

/* Keeps a window of 0.2 to 0.4 seconds to measure by, shorter where the pace has changed. */
static void
window_move(RlClock *const c, const Step *const step, const double travel)
{
  const RlMilestone before   = c->here;
  const double      a_beat   = quarters_a_beat(&c->window[0], &before);
  const double      foreseen = a_beat * step->beats;
  const bool strays = a_beat != 0 && fabs(travel - foreseen) > 2 * tick(c) + 0.15 * fabs(foreseen);
  c->here           = (RlMilestone){c->now, before.song + step->song, before.travel + travel,
                                    before.beats + step->beats, before.blur + step->blur};
  if (c->restart || strays) {
    c->window[0] = c->window[1] = c->restart ? c->here : before;
  } else if ((double)(c->now - c->window[1].at) > 0.2 * c->rate) {
    c->window[0] = c->window[1];
    c->window[1] = c->here;
  }
  c->restart = false;
}

static double
nearest_note(const double measured)
{
  static const double notes[] = {0.25, 0.5, 0.75, 1, 1.5, 2, 3, 4};
  double              best    = notes[0];
  for (unsigned i = 1; i < sizeof(notes) / sizeof(notes[0]); ++i) {
    best = fabs(notes[i] - measured) < fabs(best - measured) ? notes[i] : best;
  }
  return best;
}

/* Quarters in a beat of the tempo: the usual ones if the way gone agrees, else another note value
   that does, else (on a ramp that the host keeps to itself) what was measured. */
static double
note_measured(RlClock *const c)
{
  const double measured = quarters_a_beat(&c->window[0], &c->here);
  const double beats    = c->here.beats - c->window[0].beats;
  const double blur     = tick(c) + fabs(measured) * (c->here.blur - c->window[0].blur);
  const double doubt    = blur / fabs(beats) + 0.001 * fabs(measured);
  const double nearest  = nearest_note(measured);
  const bool   usual    = fabs(measured - usual_note(c)) <= doubt;
  const bool   other    = fabs(measured - nearest) <= doubt;
  const bool   tells    = measured != 0 && doubt <= 0.2 * fabs(measured);
  c->presumes           = !tells && presumed_note(c) != usual_note(c);
  if (!tells) {
    return presumed_note(c);
  }
  c->note_sure = usual || other;
  c->note      = other && !usual ? nearest : c->note;
  return c->note_sure ? usual_note(c) : measured;
}

/* Quarters a frame. Some hosts leave frame at 0. */
static double
pace(RlClock *const c)
{
  const double frames = (double)(c->here.at - c->window[0].at);
  const double song   = c->here.song - c->window[0].song;
  const double travel = c->here.travel - c->window[0].travel;
  const double speed  = frames > 0 && song != 0 ? song / frames : c->speed;
  if (c->tempo > 0) {
    return c->tempo / 60 / c->rate * speed * note_measured(c);
  }
  return frames > 0 ? travel / frames : quarters_in(c, c->per_frame);
}

/* ---- the count ---- */

/* Does the report's time:beat tell the count? */
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
  c->quarters_sure   = by_beat ? told : guessed;
  return by_beat ? quarters_in(c, r->beat - c->beat_origin) : count_by_bars(c, place);
}

static void
beat_take(RlClock *const c, const RlReport *const r, const RlBarBeat place)
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

/* ---- the line and the report ---- */

/* Does the place told go on from where the line is, give or take a wrong tempo, and what the line
   has still to wait? Where even the frame is the one due, or no tempo is known, any tempo will do.
 */
static bool
goes_on(const RlClock *const c, const Step *const step, const double off)
{
  static const double any    = 600; /* quarters a minute */
  const bool          free   = step->exact || c->tempo <= 0;
  const double        minute = 60 * c->rate;
  const double        old    = fabs(quarters_in(c, c->per_frame));
  const double        fastest =
    fmax(1.1 * fmax(old, c->tempo * usual_note(c) / minute), free ? any / minute : 0);
  const double waits = fmax(0, c->hold - (double)(c->now - c->at)) * old;
  return step->steady && c->known &&
         fabs(off) <= fastest * fmin(step->frames, 0.5 * c->rate) + waits + 0.02;
}

/* Where both agree within the rounding of what was sent, the line stays as it is. Else onwards from
   `now` or, if that is further, from the place told, `off` quarters away; never back, but standing
   still until the music has caught up. */
static void
line_follow(RlClock *const c, const RlBarBeat now, const RlBarBeat said, const double off,
            const double quarter_pace)
{
  static const double float_blur = 2.5e-7; /* of a bar_beat sent as a Float, relative */
  const double        blur       = quarters_in(c, float_blur * (1 + fabs(said.beat)));
  const double        grain      = c->ticks == TICKS_SURE ? tick(c) : 0;
  const double        too_far    = fmax(0, -off - blur - grain);
  const double        count      = count_at(c, now);
  if (off > blur || (off > 0 && said.bar > now.bar) || quarter_pace <= 0) {
    line_from(c, said, count + off, 0);
  } else if (too_far > 0 || quarter_pace != quarters_in(c, c->per_frame)) {
    line_from(c, now, count, too_far / quarter_pace);
  }
}

/* After a jump. Stopped and started again in the same place is none: the count goes on. */
static void
line_jump(RlClock *const c, const RlReport *const r, const RlBarBeat now, const RlBarBeat said,
          const double off)
{
  const bool same = c->known && fabs(off) < 0.01 && !counts_beats(c, r);
  line_from(c, said, same ? count_at(c, now) + off : count_anew(c, r, said), 0);
}

static float
sureness(const RlClock *const c)
{
  return c->meter_told && c->bar_told && !c->unclear ? told : guessed;
}

/* A report that says where we are: `heard`, as it was sent. */
static void
place_take(RlClock *const c, const RlReport *const r, const RlBarBeat now, const RlBarBeat heard,
           const Step *const step)
{
  const bool      bar_beat = (r->said & RL_SAID_BAR_BEAT) != 0;
  const RlBarBeat expected = place_by_frame(c, now, step);
  const RlBarBeat decoded  = decode(c, heard, expected);
  if (bar_beat) {
    c->unclear = is_unclear(c, heard, decoded, expected, step);
    habit_learn(c, heard, decoded, step);
    ticks_learn(c, heard.beat);
  }
  const RlBarBeat said  = bar_beat && c->habit > 0 ? decoded : heard;
  const double    off   = distance(c, now, said);
  const bool      wrong = is_open(c) && fabs(off) > 0.5; /* the quarter guessed before */
  const bool      on    = goes_on(c, step, off) && !wrong;
  c->restart            = c->restart || !on;
  window_move(c, step, distance(c, c->said, said));
  const double quarter_pace = pace(c);
  c->bar_told               = c->bar_told || (r->said & RL_SAID_BAR);
  c->sure                   = sureness(c);
  if (on) {
    line_follow(c, now, said, off, quarter_pace);
  } else {
    line_jump(c, r, now, said, off);
  }
  beat_take(c, r, said);
  count_mend(c, c->from.bar);
  c->per_frame = beats_in(c, quarter_pace);
  c->known     = true;
  c->said      = said;
}

/* A report without a place: the line goes on, moved by as much as the frame has jumped. Where the
   place used to come with the frame and no longer does, nobody tells us any more. */
static void
place_keep(RlClock *const c, const RlReport *const r, const RlBarBeat now, const Step *const step)
{
  const bool      silent = (r->said & RL_SAID_FRAME) && c->place_comes_with_frame;
  const double    ahead  = beats_of_song(c, step->jump);
  const bool      waits  = step->runs && ahead < 0; /* never back for an unsaid speed */
  const RlBarBeat place  = waits ? now : moved(c, now, ahead);
  c->restart             = true;
  c->readings            = 0;
  window_move(c, step, 0);
  const double quarter_pace = pace(c);
  c->bar_told               = c->bar_told && !silent && step->jump == 0;
  c->sure                   = sureness(c);
  c->quarters_sure          = fminf(c->quarters_sure, c->sure);
  if (step->jump != 0 || step->runs != c->rolling || quarter_pace != quarters_in(c, c->per_frame)) {
    line_from(c, place, count_at(c, now) + (waits ? 0 : quarters_in(c, ahead)),
              waits ? -step->jump : 0);
  }
  c->per_frame = beats_in(c, quarter_pace);
  if (!c->known) {
    c->said.beat = r->said & RL_SAID_BAR_BEAT ? r->bar_beat : c->said.beat;
  } else if (step->jump != 0 || !completes(c, step)) {
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
  bool      known, rolling, presumes;
} Line;

static Line
line_of(const RlClock *const c)
{
  return (Line){c->from,          c->at,    c->hold,    c->per_frame, c->quarters_at_bar,
                c->beats_per_bar, c->tempo, c->note,    c->sure,      c->quarters_sure,
                c->unit,          c->known, c->rolling, c->presumes};
}

static bool
same_line(const Line *const a, const Line *const b)
{
  return a->at == b->at && a->from.bar == b->from.bar && a->from.beat == b->from.beat &&
         a->hold == b->hold && a->per_frame == b->per_frame &&
         a->quarters_at_bar == b->quarters_at_bar && a->beats_per_bar == b->beats_per_bar &&
         a->tempo == b->tempo && a->note == b->note && a->sure == b->sure &&
         a->quarters_sure == b->quarters_sure && a->unit == b->unit && a->known == b->known &&
         a->rolling == b->rolling && a->presumes == b->presumes;
}

bool
rl_clock_report(RlClock *const c, const RlReport *const report)
{
  const RlReport r   = believable(*report);
  const Line     was = line_of(c);
  RlBarBeat      now = place_at(c, 0);
  RlBarBeat      heard;
  count_mend(c, now.bar);
  Step step = step_take(c, &r);
  now       = meter_take(c, &r, now, &step);
  tempo_take(c, &r, &step);
  if ((r.said & RL_SAID_SCALE) && !c->scaled) {
    c->scaled = true;
    c->habit  = HABIT_SURE;
  }
  if (place_said(c, &r, now, &step, &heard)) {
    place_take(c, &r, now, heard, &step);
    c->place_comes_with_frame = c->place_comes_with_frame || (r.said & RL_SAID_FRAME);
  } else {
    place_keep(c, &r, now, &step);
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
    const RlBarBeat now     = place_at(c, 0);
    c->start_bar            = bar < -most ? -most : bar > most ? most : bar;
    c->beat_origin          = 0;
    c->beat_origin_told     = false;
    line_from(c, now, count_anew(c, &nothing, now), 0);
    count_mend(c, now.bar);
  }
}
