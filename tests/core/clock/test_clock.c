/* SPDX-License-Identifier: ISC */
/* The clock against exact arithmetic: hosts play whole songs. Sources: the LV2 time vocabulary
   (lv2plug.in/ns/ext/time), jack/types.h, and what real hosts did on Debian 12;
   tests/core/clock/timeline plays the hosts and decides where the music is without rounding. */
#include "core/clock/clock.h"
#include "timeline.h"

#include <float.h>
#include <limits.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>

#include <cmocka.h>

#include <math.h>
#include <stdlib.h>

static TlSong song; /* too big for the stack */
static TlHost host;
static TlCall call;

/* ---- the judge ---- */

/* What the clock could not know is told apart from what it got wrong: `unknowable` is how far the
   music has strayed from where the host's last words would have it. */
typedef struct {
  RlClock  clock;
  int64_t  at;           /* frames the clock has been advanced */
  TlTruth  told, before; /* at the last report, at the last judged frame */
  int64_t  told_at, before_at;
  RlMoment last;
  bool     any;
  double   carry;       /* quarters the clock may be ahead: it never goes back, but waits */
  double   drift;       /* quarters that went unknown since a place was told */
  int64_t  changed_at;  /* when tempo, meter or transport last changed, as told */
  bool     unclear;     /* a host's rounding leaves two quarters open, see said_as_ardour; */
  TlGrains clear_after; /* the end of the quarter from here tells, whichever */
  int64_t  start_bar;
  TlGrains start_line;
  bool     looks;   /* at the next frame */
  bool     counted; /* through the start bar since the last jump */
  int      block;   /* the longest call so far */
  RlReport report;  /* the last */

  int64_t frames, lines, open;
  double  worst, worst_known; /* frames; the second where nothing was unknowable */
} Judge;

static double
quarters_of(const TlGrains grains)
{
  return (double)(int64_t)grains / (double)tl_quarter(&song);
}

static bool
exact(const TlManner *const manner)
{
  return manner->form == TL_EXACT;
}

/* Quarters from the truth to the clock. A meter may be told a block late: so measured from the bar
   line that the music comes from. */
static double
error_of(const RlMoment *const m, const TlTruth *const t)
{
  const double to_quarters = 4.0 / m->unit;
  const double length      = quarters_of(t->place.length);
  const double here        = quarters_of(t->place.in_bar);
  const double beat        = m->beat * to_quarters;
  const double bar         = m->beats_per_bar * to_quarters;
  const double bars        = (double)(m->bar - t->place.bar);
  if (bars == 0) {
    return t->speed < 0 ? beat - bar + length - here : beat - here;
  }
  return bars > 0 ? length * bars - here + beat : beat - here + bar * bars;
}

static void
blame(const Judge *const j, const TlTruth *const t, const RlMoment *const m, const int64_t frame,
      const char *const what)
{
  fail_msg(
    "%s: %s at frame %lld (song %.6f q): the music is in bar %lld at %.6f q of %d/%d, %s; the "
    "clock says bar %lld beat %.6f of %g/%d, tempo %g, quarters %.6f (%g), %s, start %lld; last "
    "told at "
    "%lld: %#x frame %lld speed %g bar %lld beat %.7g of %g/%g tempo %g; blocks of %d at %d Hz",
    host.manner->name, what, (long long)frame, quarters_of(t->place.at), (long long)t->place.bar,
    quarters_of(t->place.in_bar), t->place.beats, t->place.unit, t->rolling ? "rolling" : "stopped",
    (long long)m->bar, m->beat, m->beats_per_bar, m->unit, m->tempo, m->quarters,
    (double)m->quarters_sure, m->rolling ? "rolling" : "stopped", (long long)j->start_bar,
    (long long)j->told_at, j->report.said, (long long)j->report.frame, j->report.speed,
    (long long)j->report.bar, j->report.bar_beat, j->report.beats_per_bar, j->report.beat_unit,
    j->report.tempo, j->block, song.rate);
}

/* Quarters a frame, truly. */
static double
pace_of(const TlTruth *const t)
{
  return quarters_of((TlGrains)t->place.pace * t->speed);
}

static double
tick_of(const TlTruth *const t)
{
  return t->place.unit < 4 ? 4.0 / t->place.unit / 1920 : 1.0 / 1920;
}

/* Has what the host shows changed otherwise than along a ramp? */
static bool
changed(const Judge *const j, const TlTruth *const t)
{
  const int ramp = song.tempo[t->place.tempo].ramp;
  return t->stretch != j->told.stretch || t->place.meter != j->told.place.meter ||
         ramp != song.tempo[j->told.place.tempo].ramp ||
         (!ramp && t->place.tempo != j->told.place.tempo);
}

/* Backwards out of a ramp nothing is told: it shows the tempo before it. */
static bool
settled(const Judge *const j, const int64_t frame)
{
  const double seconds = host.manner->form == TL_ARDOUR && j->told.speed < 0 ? 0.5 : 0.2;
  return (double)(frame - j->changed_at) > fmax(seconds * song.rate, 3.0 * j->block);
}

/* How far the music has strayed from where it would be at such a pace since the last report. */
static double
strayed(const Judge *const j, const TlTruth *const t, const int64_t frame, const int64_t pace)
{
  const TlGrains known = j->told.place.at + (TlGrains)pace * j->told.speed * (frame - j->told_at);
  return fabs(quarters_of(t->place.at - known));
}

/* How far it has strayed from where the last report lets it be known. In a ramp that the host keeps
   to itself, or a tempo in notes shorter than the meter's, the pace must first be measured; until
   then there is the number told, as quarters. */
static double
unknowable(const Judge *const j, const TlTruth *const t, const int64_t frame)
{
  const TlTempo *const tempo  = &song.tempo[j->told.place.tempo];
  const double         known  = strayed(j, t, frame, j->told.place.pace);
  const bool           hidden = tempo->ramp || (tempo->note > 4 && tempo->note > t->place.unit);
  return host.manner->form == TL_ARDOUR && hidden && !settled(j, frame)
           ? fmax(known, strayed(j, t, frame, tempo->first * tempo->note / 4))
           : known;
}

/* In frames: one where reports are exact, else one block (or what the host is silent for, if that
   is more) and the tick it rounds by. */
static double
allowed(const Judge *const j, const TlTruth *const t, const int64_t frame)
{
  const bool   unsure = host.manner->note == TL_OF_QUARTER && !settled(j, frame);
  const double pace   = fmax(fabs(pace_of(t)), 1e-12);
  const double gap    = fmax(j->block, (double)(frame - j->told_at));
  return exact(host.manner) && !unsure ? 1 : gap + tick_of(t) / pace;
}

static void
judge_place(Judge *const j, const TlTruth *const t, const RlMoment *const m, const int64_t frame)
{
  const double pace = fabs(pace_of(t));
  const double err  = fabs(error_of(m, t));
  if (!t->rolling) {
    const double blur = 4e-6 * fmax(1, quarters_of(t->place.in_bar)); /* of a float */
    if (err > (exact(host.manner) ? blur + j->drift : tick_of(t) * 1.01)) {
      blame(j, t, m, frame, "wrong place while stopped");
    }
    return;
  }
  const double waited  = pace * (double)(frame - j->told_at);
  const double excused = unknowable(j, t, frame) + fmax(0, j->carry - waited) + j->drift;
  if (err > allowed(j, t, frame) * pace * (1 + 1e-9) + excused) {
    blame(j, t, m, frame, "wrong place");
  }
}

static void
judge_tempo(const Judge *const j, const TlTruth *const t, const RlMoment *const m,
            const int64_t frame)
{
  double low   = fmin(fabs(pace_of(t)), fabs(pace_of(&j->told)));
  double high  = fmax(fabs(pace_of(t)), fabs(pace_of(&j->told)));
  double grain = 0;
  if (song.tempo[t->place.tempo]
        .ramp) { /* any tempo of its last 0.4 s; where only ticks tell it, two less or more */
    const int64_t ago  = frame - song.rate * 2 / 5;
    const TlTruth then = tl_host_truth(&host, ago > j->changed_at ? ago : j->changed_at, t);
    low                = fmin(low, fabs(pace_of(&then)));
    high               = fmax(high, fabs(pace_of(&then)));
    grain              = host.manner->form == TL_ARDOUR ? 2 * tick_of(t) / (0.2 * song.rate) : 0;
  }
  const double beats = m->tempo / song.rate / 60 * 4 / m->unit;
  if (beats < low * 0.995 - grain || beats > high * 1.005 + grain) {
    blame(j, t, m, frame, "wrong tempo");
  }
}

static void
judge_count(const Judge *const j, const TlTruth *const t, const RlMoment *const m,
            const int64_t frame)
{
  const double truly = quarters_of(t->place.at - j->start_line);
  const double off   = error_of(m, t);
  if (m->quarters_sure > 0.9F && fabs(m->quarters - truly - off) > 1e-4) {
    blame(j, t, m, frame, "wrong count of quarters");
  }
  if (j->counted && m->quarters_sure < 0.9F) {
    blame(j, t, m, frame, "unsure of a sure count");
  }
}

/* Never back while rolling, unless there was a jump. */
static void
judge_order(const Judge *const j, const TlTruth *const t, const RlMoment *const m,
            const int64_t frame)
{
  static const double dust = 1e-9;
  const double        now  = m->beat * 4 / m->unit;
  const double        then = j->last.beat * 4 / j->last.unit;
  if (m->bar < j->last.bar || (m->bar == j->last.bar && now < then - dust)) {
    blame(j, t, m, frame, "back");
  }
  if (j->last.quarters_sure > 0.9F && m->quarters_sure > 0.9F &&
      m->quarters < j->last.quarters - dust) {
    blame(j, t, m, frame, "count back");
  }
}

static void
judge_sanity(const Judge *const j, const TlTruth *const t, const RlMoment *const m,
             const int64_t frame)
{
  if (!(m->beat >= 0 && m->beat < m->beats_per_bar && isfinite(m->quarters) &&
        isfinite(m->per_frame) && m->tempo >= 0 && m->tempo < 1e6)) {
    blame(j, t, m, frame, "nonsense");
  }
  if (!m->known || (m->sure < 0.9F && !j->unclear) || m->rolling != j->told.rolling ||
      m->unit != j->told.place.unit || m->beats_per_bar != j->told.place.beats) {
    blame(j, t, m, frame, "not what was told");
  }
}

static void
judge_frame(Judge *const j, const int64_t frame, const bool line)
{
  const TlTruth  t = tl_host_truth(&host, frame, &j->told);
  const RlMoment m = rl_clock_moment(&j->clock, frame - j->at);
  judge_sanity(j, &t, &m, frame);
  if (t.stretch == j->told.stretch) { /* else the host has not said so yet */
    if (!j->unclear) {
      judge_place(j, &t, &m, frame);
      judge_count(j, &t, &m, frame);
      if (j->any && t.rolling && t.speed > 0 && j->before.stretch == t.stretch) {
        judge_order(j, &t, &m, frame);
      }
      if (settled(j, frame) && t.rolling && !changed(j, &t)) {
        judge_tempo(j, &t, &m, frame);
      }
      if (t.rolling && line) {
        const double err = fabs(error_of(&m, &t)) / fabs(pace_of(&t));
        ++j->lines;
        j->worst = fmax(j->worst, err);
        if (unknowable(j, &t, frame) + j->carry + j->drift < 1e-9 && settled(j, frame)) {
          j->worst_known = fmax(j->worst_known, err);
        }
      }
    } else {
      ++j->open;
    }
    j->any    = !j->unclear;
    j->before = t;
    j->last   = m;
  } else {
    j->any = false;
  }
  ++j->frames;
}

/* The first frame in (low, high] in another bar than the one at low, or -1. */
static int64_t
next_line(const Judge *const j, int64_t low, int64_t high)
{
  const int64_t bar = tl_host_truth(&host, low, &j->told).place.bar;
  if (low >= high || tl_host_truth(&host, high, &j->told).place.bar == bar) {
    return -1;
  }
  while (high - low > 1) {
    const int64_t middle   = low + (high - low) / 2;
    const bool    same     = tl_host_truth(&host, middle, &j->told).place.bar == bar;
    *(same ? &low : &high) = middle;
  }
  return high;
}

/* All frames near a bar line, and now and then one anywhere and those on both sides of a report,
   from `from` up to (not incl.) `to`. */
static void
judge_frames(Judge *const j, TlDice *const dice, const int64_t from, const int64_t to)
{
  enum { NEAR = 3 };
  int64_t frame = from;
  if (j->looks) {
    judge_frame(j, frame++, false);
  }
  for (int64_t line = next_line(j, from, to - 1); line >= 0; line = next_line(j, line, to - 1)) {
    for (frame = frame > line - NEAR ? frame : line - NEAR; frame <= line + NEAR && frame < to;
         ++frame) {
      judge_frame(j, frame, true);
    }
  }
  j->looks = tl_throw(dice, 3) == 0;
  if (j->looks && frame < to) {
    const int64_t any = frame + tl_throw(dice, to - frame);
    judge_frame(j, any, false);
    if (any < to - 1) {
      judge_frame(j, to - 1, false);
    }
  }
}

/* The bar line may be passed in the clock's eyes and not in truth, or the other way about, by this
   much (quarters); so near it nobody is bound to be sure of the count. */
static bool
well_inside(const TlTruth *const t, const int64_t bar)
{
  return t->place.bar == bar && quarters_of(t->place.in_bar) > 3 * tick_of(t);
}

/* Give or take a tick, which the host may be late. */
static bool
in_same_quarter(const TlTruth *const t, const TlGrains from)
{
  const TlGrains since = t->place.at - from;
  const TlGrains tick  = tl_quarter(&song) / 1920 + 1;
  return since >= -tick && since < tl_quarter(&song) + tick;
}

static void
judge_heard(Judge *const j, const int64_t frame)
{
  const TlTruth t = tl_host_truth(&host, frame, &j->told);
  if (j->told_at < 0 || tl_host_jumped(&host, &j->told, &t)) {
    j->counted     = false;
    j->carry       = 0;
    j->drift       = 0;
    j->any         = false;
    j->unclear     = host.manner->form == TL_ARDOUR && t.place.unit < 4;
    j->clear_after = t.place.at - t.place.in_bar % tl_quarter(&song);
  } else {
    const double went = fabs(pace_of(&j->told)) * (double)(frame - j->told_at);
    const double lost = unknowable(j, &t, frame);
    j->carry          = fmax(fmax(0, j->carry - went), lost);
    j->drift          = j->report.said & RL_SAID_BAR_BEAT ? 0 : j->drift + lost;
  }
  const bool clears = j->unclear && !in_same_quarter(&t, j->clear_after);
  j->unclear        = j->unclear && !clears;
  if (j->told_at < 0 || changed(j, &t) || clears) {
    j->changed_at = frame;
  }
  j->counted = !j->unclear && ((j->counted && !clears) || well_inside(&t, j->start_bar));
  j->told    = t;
  j->told_at = frame;
}

/* Plays the host to its end. */
static void
judge_host(Judge *const j, const int64_t start_bar, const uint64_t seed)
{
  TlDice dice   = {seed};
  *j            = (Judge){.start_bar = start_bar, .told_at = -1};
  j->start_line = tl_bar_line(&song, start_bar);
  rl_clock_init(&j->clock, song.rate);
  rl_clock_set_start(&j->clock, start_bar);
  for (int64_t begin = 0; tl_host_call(&host, &call); begin += call.frames) {
    j->block = call.frames > j->block ? call.frames : j->block;
    for (int i = 0; i < call.reports; ++i) {
      const int64_t frame = begin + call.report[i].at;
      if (frame > j->at) {
        judge_frames(j, &dice, j->at, frame);
      }
      rl_clock_advance(&j->clock, frame - j->at);
      j->at = frame;
      rl_clock_report(&j->clock, &call.report[i].report);
      j->report = call.report[i].report;
      judge_heard(j, frame);
    }
    judge_frames(j, &dice, j->at, begin + call.frames);
    rl_clock_advance(&j->clock, begin + call.frames - j->at);
    j->at = begin + call.frames;
  }
}

/* ---- 500 songs of ten minutes ---- */

#ifdef __SANITIZE_ADDRESS__
enum { MAPS_USUAL = 50 }; /* it slows them down */
#else
enum { MAPS_USUAL = 500 };
#endif

static int
maps_wanted(void)
{
  const char *const text = getenv("REEDLAMP_MAPS");
  return text ? atoi(text) : MAPS_USUAL;
}

static int
block_by_chance(TlDice *const dice, const TlManner *const manner, const int rate)
{
  static const int sizes[] = {64, 128, 256, 256, 512, 512, 1024, 1024, 2048, 480, 882};
  const int        size    = sizes[tl_throw(dice, sizeof(sizes) / sizeof(sizes[0]))];
  const bool       varies  = !manner->whole_blocks && size >= 256 && tl_throw(dice, 4) == 0;
  return (varies ? -size : size) * (rate > 48000 ? 2 : 1);
}

static void
play_maps(const TlManner *const manner)
{
  static const int rates[] = {44100, 48000, 48000, 96000, 88200, 192000, 22050};
  Judge            sum     = {.worst = 0};
  int              maps    = maps_wanted();
  for (int map = 0; map < maps; ++map) {
    const uint64_t seed = (uint64_t)map + 1;
    TlDice         dice = {seed};
    const int      rate = rates[tl_throw(&dice, sizeof(rates) / sizeof(rates[0]))];
    tl_song_wander(&song, &dice, rate, 600, manner);
    tl_host_init(&host, manner, &song, block_by_chance(&dice, manner, rate), seed);
    tl_host_wander(&host, (int64_t)600 * rate);
    Judge judge;
    judge_host(&judge, tl_throw(&dice, 3) ? tl_throw(&dice, 60) : 0, seed);
    sum.frames += judge.frames;
    sum.lines += judge.lines;
    sum.open += judge.open;
    sum.worst       = fmax(sum.worst, judge.worst);
    sum.worst_known = fmax(sum.worst_known, judge.worst_known);
  }
  assert_true(sum.lines > 1000 && sum.frames > sum.lines);
  print_message(
    "%s: %d songs, %lld frames judged, %lld near bar lines, worst %.2f frames (%.2f where "
    "all was told), %lld left open by the host\n",
    manner->name, maps, (long long)sum.frames, (long long)sum.lines, sum.worst, sum.worst_known,
    (long long)sum.open);
}

#define MAPS(number, name)                                                                         \
  static void name(void **state)                                                                   \
  {                                                                                                \
    (void)state;                                                                                   \
    play_maps(&tl_manners[number]);                                                                \
  }

MAPS(0, a_host_that_reports_every_block_is_followed_to_the_frame)
MAPS(1, a_host_that_reports_only_changes_is_followed_to_the_frame)
MAPS(2, a_host_that_tells_no_frames_is_followed_to_the_frame)
MAPS(3, a_host_that_leaves_out_what_is_as_it_was_is_followed_to_the_frame)
MAPS(4, a_host_that_tells_only_the_field_that_changed_is_followed_to_the_frame)
MAPS(5, a_host_that_counts_quarters_in_eighth_meters_is_followed_to_the_frame)
MAPS(6, a_host_in_ticks_is_followed_within_a_block)
MAPS(7, a_host_in_ticks_that_reports_only_changes_is_followed_within_a_block)
MAPS(8, ardour_is_followed_within_a_block)

/* ---- hosts as they also are ---- */

/* Plays the host as it is now, each report changed on its way; returns the clock's worst error
   (frames) from `from` seconds on, and in *tempo its last tempo in quarters a minute. */
static double
worst_error(void (*const change)(RlReport *), const double from, double *const tempo)
{
  RlClock clock;
  TlTruth truth = {.rolling = false};
  double  worst = 0;
  int64_t at    = 0;
  rl_clock_init(&clock, song.rate);
  while (tl_host_call(&host, &call)) {
    for (int i = 0; i < call.reports; ++i) {
      assert_int_equal(call.report[i].at, 0);
      change(&call.report[i].report);
      rl_clock_report(&clock, &call.report[i].report);
    }
    for (int k = 0; k < call.frames; k += 13) {
      const RlMoment m = rl_clock_moment(&clock, k);
      truth            = tl_host_truth(&host, at + k, &truth);
      if ((double)(at + k) >= from * song.rate && truth.rolling) {
        worst  = fmax(worst, fabs(error_of(&m, &truth)) / fabs(pace_of(&truth)));
        *tempo = m.tempo * 4 / m.unit;
      }
    }
    rl_clock_advance(&clock, call.frames);
    at += call.frames;
  }
  assert_true(truth.rolling);
  return worst;
}

/* A song at 96 quarters a minute in one meter, rolling from the start. */
static void
play_evenly(const TlManner *const manner, const int beats, const int unit, const int speed)
{
  tl_song_init(&song, 48000);
  tl_song_tempo(&song, 0, (int64_t)96 * 65536);
  tl_song_meter(&song, 0, beats, unit);
  tl_host_init(&host, manner, &song, 256, 1);
  tl_host_go(&host, 0, speed);
  host.end = (int64_t)20 * 48000;
}

enum { EXACT_EVERY_BLOCK, TICKS_EVERY_BLOCK = 6, ARDOUR = 8 };

static void
say_scale(RlReport *const r)
{
  r->said |= RL_SAID_SCALE;
}

static void
say_no_scale(RlReport *const r)
{
  r->said &= ~(unsigned)RL_SAID_SCALE;
}

static void
say_full_speed(RlReport *const r)
{
  r->speed = 1;
}

static void
say_frame_0(RlReport *const r)
{
  r->frame = 0;
}

static void
say_no_tempo(RlReport *const r)
{
  r->said &= ~(unsigned)RL_SAID_TEMPO;
}

/* Later versions may well mend it and still say their scale. */
static void
ardours_rounding_is_unlearnt_where_it_is_not(void **state)
{
  static const int meters[][2] = {{6, 8}, {12, 8}, {7, 16}};
  (void)state;
  for (size_t i = 0; i < sizeof(meters) / sizeof(meters[0]); ++i) {
    double tempo = 0;
    play_evenly(&tl_manners[EXACT_EVERY_BLOCK], meters[i][0], meters[i][1], TL_PARTS);
    assert_true(worst_error(say_scale, 8, &tempo) < 1);
    assert_true(fabs(tempo - 96) < 0.48);
  }
}

static void
ardours_rounding_is_learnt_where_nothing_hints_at_it(void **state)
{
  static const int meters[][2] = {{6, 8}, {12, 8}, {7, 16}};
  (void)state;
  for (size_t i = 0; i < sizeof(meters) / sizeof(meters[0]); ++i) {
    double tempo = 0;
    play_evenly(&tl_manners[ARDOUR], meters[i][0], meters[i][1], TL_PARTS);
    assert_true(worst_error(say_no_scale, 8, &tempo) < 256);
    assert_true(fabs(tempo - 96) < 0.48);
  }
}

static void
half_speed_is_right_where_only_the_frames_show_it(void **state)
{
  double tempo = 0;
  (void)state;
  play_evenly(&tl_manners[EXACT_EVERY_BLOCK], 4, 4, TL_PARTS / 2);
  assert_true(worst_error(say_full_speed, 0.1, &tempo) < 1);
  assert_true(fabs(tempo - 48) < 0.24);
}

static void
a_frame_that_is_always_0_does_no_harm(void **state)
{
  double tempo = 0;
  (void)state;
  play_evenly(&tl_manners[EXACT_EVERY_BLOCK], 12, 8, TL_PARTS);
  assert_true(worst_error(say_frame_0, 0.1, &tempo) < 1);
  assert_true(fabs(tempo - 96) < 0.48);
}

static void
the_tempo_is_measured_where_none_is_told(void **state)
{
  double tempo = 0;
  (void)state;
  play_evenly(&tl_manners[EXACT_EVERY_BLOCK], 4, 4, TL_PARTS);
  assert_true(worst_error(say_no_tempo, 0.1, &tempo) < 1);
  assert_true(fabs(tempo - 96) < 0.48);
  play_evenly(&tl_manners[TICKS_EVERY_BLOCK], 4, 4, TL_PARTS);
  assert_true(worst_error(say_no_tempo, 0.2, &tempo) < 256);
  assert_true(fabs(tempo - 96) < 0.48);
}

static void
say_all(RlReport *const r)
{
  (void)r;
}

/* What is told may be a tick late, but never early: so the latest of all is nearly right. */
static void
whole_ticks_are_seen_through(void **state)
{
  static const double tick  = 48000 / 1.6 / 1920; /* frames, at 96 quarters a minute */
  double              tempo = 0;
  (void)state;
  play_evenly(&tl_manners[TICKS_EVERY_BLOCK], 4, 4, TL_PARTS);
  assert_true(worst_error(say_all, 1, &tempo) < tick / 4);
  play_evenly(&tl_manners[ARDOUR], 12, 8, TL_PARTS);
  assert_true(worst_error(say_all, 1, &tempo) < tick / 4);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(a_host_that_reports_every_block_is_followed_to_the_frame),
    cmocka_unit_test(a_host_that_reports_only_changes_is_followed_to_the_frame),
    cmocka_unit_test(a_host_that_tells_no_frames_is_followed_to_the_frame),
    cmocka_unit_test(a_host_that_leaves_out_what_is_as_it_was_is_followed_to_the_frame),
    cmocka_unit_test(a_host_that_tells_only_the_field_that_changed_is_followed_to_the_frame),
    cmocka_unit_test(a_host_that_counts_quarters_in_eighth_meters_is_followed_to_the_frame),
    cmocka_unit_test(a_host_in_ticks_is_followed_within_a_block),
    cmocka_unit_test(a_host_in_ticks_that_reports_only_changes_is_followed_within_a_block),
    cmocka_unit_test(ardour_is_followed_within_a_block),
    cmocka_unit_test(ardours_rounding_is_unlearnt_where_it_is_not),
    cmocka_unit_test(ardours_rounding_is_learnt_where_nothing_hints_at_it),
    cmocka_unit_test(half_speed_is_right_where_only_the_frames_show_it),
    cmocka_unit_test(a_frame_that_is_always_0_does_no_harm),
    cmocka_unit_test(the_tempo_is_measured_where_none_is_told),
    cmocka_unit_test(whole_ticks_are_seen_through),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
