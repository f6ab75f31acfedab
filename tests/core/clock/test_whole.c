/* SPDX-License-Identifier: ISC */
/* A host that tells whole beats, once each, and in bar_beat those of the bars before. Source: what
   qtractor 0.9.31 of Debian 12 was recorded to send; the simulated host below must send the same.
   The places it is judged by are computed from the tempo map, never from reports. */
#include "core/clock/clock.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

#define COUNT(array) (sizeof(array) / sizeof((array)[0]))

enum { RATE = 48000, STRETCHES = 4 };

/* ---- a song: bars of one meter and tempo after the other ---- */

typedef struct {
  int    bars, beats, unit;
  double tempo; /* quarters a minute, as the host tells it */
  double note;  /* quarters in a beat of that tempo */
} Stretch;

typedef struct {
  Stretch stretch[STRETCHES];
  int     stretches;
} Song;

typedef struct {
  int     bar;
  double  beat;
  int     total; /* whole beats of the song before the bar */
  Stretch in;
} Truth;

static double
frames_in_beat(const Stretch *const s)
{
  return 4.0 / s->unit / (s->tempo * s->note) * 60 * RATE;
}

static Truth
truth_at(const Song *const song, double frame)
{
  Truth t = {0};
  for (int i = 0; i < song->stretches; ++i) {
    t.in              = song->stretch[i];
    const double beat = frames_in_beat(&t.in);
    const double bars = floor(frame / (beat * t.in.beats) + 1e-9);
    if (i + 1 == song->stretches || bars < t.in.bars) {
      t.bar += (int)bars;
      t.total += (int)bars * t.in.beats;
      t.beat = fmax(0, frame / beat - bars * t.in.beats);
      break;
    }
    t.bar += t.in.bars;
    t.total += t.in.bars * t.in.beats;
    frame -= t.in.bars * t.in.beats * beat;
  }
  return t;
}

/* ---- the host ---- */

/* `slips`: as it may tell the first beat of a new meter, counted in bars of the one before. */
static RlReport
report_at(const Song *const song, const int64_t frame, const bool slips)
{
  const Truth    t    = truth_at(song, (double)frame);
  const int      all  = t.total + (int)floor(t.beat + 1e-9);
  const uint32_t left = (uint32_t)(all - (slips ? t.bar - 1 : t.bar) * t.in.beats);
  return (RlReport){.said = RL_SAID_FRAME | RL_SAID_SPEED | RL_SAID_BAR | RL_SAID_BAR_BEAT |
                            RL_SAID_BEAT | RL_SAID_BEAT_UNIT | RL_SAID_BEATS_PER_BAR |
                            RL_SAID_TEMPO,
                    .frame         = frame,
                    .speed         = 1,
                    .bar           = t.bar,
                    .bar_beat      = (double)((float)all - (float)left),
                    .beat          = (double)(float)(left + 1),
                    .beat_unit     = t.in.unit,
                    .beats_per_bar = t.in.beats,
                    .tempo         = (double)(float)t.in.tempo};
}

typedef struct {
  const Song *song;
  RlClock     clock;
  int64_t     frame, block;
  RlReport    last;   /* said == 0: none */
  int64_t     turned; /* frames since a bar line was crossed, rolling; -1: not since the jump */
  bool        slips;
  double      worst; /* frames off, since then */
  int         reports;
} Host;

static void
host_open(Host *const h, const Song *const song, const int64_t frame, const int64_t block)
{
  memset(h, 0, sizeof(*h));
  rl_clock_init(&h->clock, RATE);
  h->song   = song;
  h->frame  = frame;
  h->block  = block;
  h->turned = -1;
}

static void
host_locate(Host *const h, const int64_t frame)
{
  h->frame     = frame;
  h->last.said = 0;
  h->turned    = -1;
}

/* How far the clock is off, in frames. */
static double
frames_off(const Host *const h, const int64_t ahead)
{
  const RlMoment m = rl_clock_moment(&h->clock, ahead);
  const Truth    t = truth_at(h->song, (double)(h->frame + ahead));
  return ((double)(m.bar - t.bar) * t.in.beats + m.beat - t.beat) * frames_in_beat(&t.in);
}

/* One block, judged at both ends of it. */
static void
host_run(Host *const h)
{
  const Truth    t      = truth_at(h->song, (double)h->frame);
  const bool     in_new = h->slips && h->last.said && t.in.beats != (int)h->last.beats_per_bar;
  const RlReport r      = report_at(h->song, h->frame, in_new);
  const bool new        = !h->last.said || r.bar != h->last.bar || r.beat != h->last.beat;
  if (new) {
    h->turned = h->last.said && r.bar != h->last.bar ? 0 : h->turned;
    rl_clock_report(&h->clock, &r);
    ++h->reports;
  }
  h->last = r;
  if (h->turned >= 0) {
    h->worst = fmax(h->worst, fabs(frames_off(h, 0)));
    h->turned += h->block;
  }
  rl_clock_advance(&h->clock, h->block);
  h->frame += h->block;
}

static void
host_play(Host *const h, const int64_t until)
{
  while (h->frame < until) {
    host_run(h);
  }
}

/* ---- what was recorded ---- */

typedef struct {
  int64_t frame, bar;
  double  beat, bar_beat;
  int     unit, beats;
  double  tempo;
} Row;

/* 4 bars of 4/4, 8 of 7/8, then 3/4; blocks of 1024. */
static const Row mixed[] = {{0, 0, 1, 0, 4, 4, 123.4},
                            {23552, 0, 2, 0, 4, 4, 123.4},
                            {47104, 0, 3, 0, 4, 4, 123.4},
                            {70656, 0, 4, 0, 4, 4, 123.4},
                            {94208, 1, 1, 4, 4, 4, 123.4},
                            {116736, 1, 2, 4, 4, 4, 123.4},
                            {140288, 1, 3, 4, 4, 4, 123.4},
                            {163840, 1, 4, 4, 4, 4, 123.4},
                            {187392, 2, 1, 8, 4, 4, 123.4},
                            {210944, 2, 2, 8, 4, 4, 123.4},
                            {233472, 2, 3, 8, 4, 4, 123.4},
                            {257024, 2, 4, 8, 4, 4, 123.4},
                            {280576, 3, 1, 12, 4, 4, 123.4},
                            {304128, 3, 2, 12, 4, 4, 123.4},
                            {327680, 3, 3, 12, 4, 4, 123.4},
                            {350208, 3, 4, 12, 4, 4, 123.4},
                            {373760, 4, 4294967296, -4294967296, 8, 7, 246.8},
                            {414720, 5, 4294967296, -4294967296, 8, 7, 246.8},
                            {455680, 6, 4294967296, -4294967296, 8, 7, 246.8},
                            {496640, 7, 4294967296, -4294967296, 8, 7, 246.8},
                            {537600, 8, 4294967296, -4294967296, 8, 7, 246.8},
                            {578560, 9, 4294967296, -4294967296, 8, 7, 246.8},
                            {618496, 10, 4294967296, -4294967296, 8, 7, 246.8},
                            {659456, 11, 4294967296, -4294967296, 8, 7, 246.8},
                            {700416, 12, 37, 36, 4, 3, 100},
                            {729088, 12, 38, 36, 4, 3, 100},
                            {758784, 12, 39, 36, 4, 3, 100}};

static const Song mixed_song = {{{4, 4, 4, 123.4, 1}, {8, 7, 8, 246.8, 1}, {99, 3, 4, 100, 1}}, 3};

/* A bar of 4/4, then 5/4. */
static const Row  five[]    = {{0, 0, 1, 0, 4, 4, 123.4},
                               {23552, 0, 2, 0, 4, 4, 123.4},
                               {47104, 0, 3, 0, 4, 4, 123.4},
                               {70656, 0, 4, 0, 4, 4, 123.4},
                               {94208, 1, 5, 0, 4, 5, 123.4},
                               {116736, 1, 1, 5, 4, 5, 123.4},
                               {140288, 1, 2, 5, 4, 5, 123.4},
                               {163840, 1, 3, 5, 4, 5, 123.4},
                               {187392, 1, 4, 5, 4, 5, 123.4},
                               {210944, 2, 0, -4294967296, 4, 5, 123.4},
                               {233472, 2, 1, 10, 4, 5, 123.4},
                               {257024, 2, 2, 10, 4, 5, 123.4},
                               {280576, 2, 3, 10, 4, 5, 123.4},
                               {304128, 2, 4, 10, 4, 5, 123.4},
                               {327680, 3, 0, -4294967296, 4, 5, 123.4},
                               {350208, 3, 1, 15, 4, 5, 123.4},
                               {373760, 3, 2, 15, 4, 5, 123.4}};
static const Song five_song = {{{1, 4, 4, 123.4, 1}, {99, 5, 4, 123.4, 1}}, 2};

/* 6/8 at 120 quarters; the same host counted 240 eighths there when told to. */
static const Row six_eight[] = {
  {0, 0, 1, 0, 8, 6, 120},       {12288, 0, 2, 0, 8, 6, 120},  {24576, 0, 3, 0, 8, 6, 120},
  {36864, 0, 4, 0, 8, 6, 120},   {48128, 0, 5, 0, 8, 6, 120},  {60416, 0, 6, 0, 8, 6, 120},
  {72704, 1, 1, 6, 8, 6, 120},   {84992, 1, 2, 6, 8, 6, 120},  {96256, 1, 3, 6, 8, 6, 120},
  {108544, 1, 4, 6, 8, 6, 120},  {120832, 1, 5, 6, 8, 6, 120}, {132096, 1, 6, 6, 8, 6, 120},
  {144384, 2, 1, 12, 8, 6, 120}, {156672, 2, 2, 12, 8, 6, 120}};
static const Song six_eight_song = {{{99, 6, 8, 120, 1}}, 1};

/* 4/4 at 120, a loop of bars 2 and 3 (96000 to 192000), and beats told twice. */
static const Row looped[] = {
  {0, 0, 1, 0, 4, 4, 120},      {24576, 0, 2, 0, 4, 4, 120},  {48128, 0, 3, 0, 4, 4, 120},
  {72704, 0, 4, 0, 4, 4, 120},  {96256, 1, 1, 4, 4, 4, 120},  {120832, 1, 2, 4, 4, 4, 120},
  {144384, 1, 3, 4, 4, 4, 120}, {168960, 1, 4, 4, 4, 4, 120}, {96512, 1, 1, 4, 4, 4, 120},
  {120064, 1, 2, 4, 4, 4, 120}, {144640, 1, 3, 4, 4, 4, 120}, {168192, 1, 4, 4, 4, 4, 120},
  {96768, 1, 1, 4, 4, 4, 120},  {120320, 1, 2, 4, 4, 4, 120}, {144896, 1, 3, 4, 4, 4, 120},
  {155136, 1, 3, 4, 4, 4, 120}, {168448, 1, 4, 4, 4, 4, 120}, {96000, 1, 1, 4, 4, 4, 120},
  {120576, 1, 2, 4, 4, 4, 120}, {144128, 1, 3, 4, 4, 4, 120}, {156416, 1, 3, 4, 4, 4, 120},
  {157440, 1, 3, 4, 4, 4, 120}, {158464, 1, 3, 4, 4, 4, 120}, {168704, 1, 4, 4, 4, 4, 120},
  {96256, 1, 1, 4, 4, 4, 120}};
static const Song plain_song = {{{99, 4, 4, 120, 1}}, 1};

static RlReport
row_report(const Row *const row)
{
  return (RlReport){.said = RL_SAID_FRAME | RL_SAID_SPEED | RL_SAID_BAR | RL_SAID_BAR_BEAT |
                            RL_SAID_BEAT | RL_SAID_BEAT_UNIT | RL_SAID_BEATS_PER_BAR |
                            RL_SAID_TEMPO,
                    .frame         = row->frame,
                    .speed         = 1,
                    .bar           = row->bar,
                    .bar_beat      = row->bar_beat,
                    .beat          = row->beat,
                    .beat_unit     = row->unit,
                    .beats_per_bar = row->beats,
                    .tempo         = (double)(float)row->tempo};
}

/* Plays a recording in blocks of 1024 and judges every 64 frames. Where the frame goes back, the
   loop ended at 192000. */
static void
recording_judge(const Row *const rows, const size_t count, const Song *const song,
                const double most)
{
  Host h;
  host_open(&h, song, 0, 1024);
  for (size_t i = 0; i + 1 < count; ++i) {
    const int64_t after = rows[i + 1].frame;
    const int64_t long_ =
      after > rows[i].frame ? after - rows[i].frame : 192000 - rows[i].frame + after - 96000;
    const RlReport r = row_report(&rows[i]);
    h.frame          = rows[i].frame;
    rl_clock_report(&h.clock, &r);
    assert_true(rl_clock_moment(&h.clock, 0).known);
    for (int64_t ahead = 0; ahead < long_ && rows[i].frame + ahead < 191900; ahead += 64) {
      const double off = frames_off(&h, ahead);
      if (fabs(off) > most && h.frame + ahead > 96000) {
        fail_msg("row %zu, frame %d: %g frames off", i, (int)(h.frame + ahead), off);
      }
    }
    rl_clock_advance(&h.clock, long_);
  }
}

static void
judge_until(const Row *const rows, const size_t count, const Song *const song)
{
  for (size_t i = 0; i < count; ++i) {
    const RlReport sent = report_at(song, rows[i].frame, i && rows[i].bar_beat == 0 && rows[i].bar);
    const RlReport real = row_report(&rows[i]);
    assert_int_equal(sent.bar, real.bar);
    assert_true(sent.bar_beat == real.bar_beat);
    assert_true(sent.beat == real.beat);
    assert_true(sent.beats_per_bar == real.beats_per_bar && sent.beat_unit == real.beat_unit);
    assert_true(sent.tempo == real.tempo);
  }
}

static void
the_simulated_host_sends_what_was_recorded(void **state)
{
  (void)state;
  judge_until(mixed, COUNT(mixed), &mixed_song);
  judge_until(five, COUNT(five), &five_song);
  judge_until(six_eight, COUNT(six_eight), &six_eight_song);
  judge_until(looped, COUNT(looped), &plain_song);
}

static void
recorded_songs_are_followed_exactly_in_one_meter(void **state)
{
  (void)state;
  recording_judge(six_eight, COUNT(six_eight), &six_eight_song, 0.5);
  recording_judge(looped, COUNT(looped), &plain_song, 0.5);
}

static void
recorded_songs_of_several_meters_are_followed_within_a_block(void **state)
{
  (void)state;
  recording_judge(mixed, COUNT(mixed), &mixed_song, 1024);
  recording_judge(five, COUNT(five), &five_song, 1024);
}

/* ---- simulated ---- */

static uint64_t chance_state;

static int
chance(const int below)
{
  chance_state = chance_state * 6364136223846793005U + 1442695040888963407U;
  // NOLINTNEXTLINE(clang-analyzer-core.DivideZero): `below` is never 0
  return (int)((chance_state >> 33U) % (uint64_t)below);
}

static const int meters[][2] = {{4, 4}, {3, 4}, {2, 4}, {5, 4}, {6, 8}, {7, 8}, {12, 8}, {3, 2}};

static Stretch
stretch_by_chance(const int bars)
{
  const int *const meter = meters[chance((int)COUNT(meters))];
  const double     tempo = (double)(float)(80 + chance(1000) / 10.0);
  return (Stretch){bars, meter[0], meter[1], tempo, 1};
}

/* From anywhere in a song of one meter, over locates, stops (no block comes) and loops: at once,
   and exactly. */
static void
in_one_meter_every_place_is_exact(void **state)
{
  static const int64_t blocks[] = {64, 256, 1000, 1024};
  (void)state;
  chance_state = 1;
  for (int i = 0; i < 400; ++i) {
    const Song song = {{stretch_by_chance(99)}, 1};
    Host       h;
    host_open(&h, &song, chance(3) ? chance(4000000) : 0, blocks[chance(4)]);
    for (int k = 0; k < 6; ++k) {
      host_play(&h, h.frame + 200000 + chance(300000));
      h.worst = fmax(h.worst, fabs(frames_off(&h, 0)));
      if (chance(2)) {
        host_locate(&h, chance(4000000));
      } else { /* a loop */
        const int64_t start = h.frame - 150000 - chance(50000);
        host_locate(&h, start < 0 ? 0 : start);
      }
    }
    if (h.worst > 1) {
      fail_msg("song %d, %d/%d at %g, blocks of %d: %g frames off", i, song.stretch[0].beats,
               song.stretch[0].unit, song.stretch[0].tempo, (int)h.block, h.worst);
    }
    assert_true(rl_clock_moment(&h.clock, 0).sure == 1);
  }
}

/* After a change of meter and tempo, and once a bar line has passed since a locate: CLOCK.md,
   within 50 ms. */
static void
in_several_meters_every_place_is_within_50_ms(void **state)
{
  static const int64_t blocks[] = {64, 256, 1000, 1024};
  (void)state;
  chance_state = 2;
  for (int i = 0; i < 400; ++i) {
    Song song = {.stretches = 2 + chance(3)};
    Host h;
    for (int k = 0; k < song.stretches; ++k) {
      song.stretch[k] = stretch_by_chance(2 + chance(6));
    }
    host_open(&h, &song, chance(2) ? chance(2000000) : 0, blocks[chance(4)]);
    h.slips = chance(2);
    for (int k = 0; k < 6; ++k) {
      host_play(&h, h.frame + 400000 + chance(400000));
      host_locate(&h, chance(3000000));
    }
    if (h.worst > 0.05 * RATE) {
      fail_msg("song %d, blocks of %d: %g frames off", i, (int)h.block, h.worst);
    }
  }
}

/* The tempo may count another note than the quarter; that takes a few beats to see. */
static void
a_tempo_in_eighths_shows_within_a_bar(void **state)
{
  (void)state;
  const Song song = {{{99, 6, 8, 240, 0.5}}, 1};
  Host       h;
  host_open(&h, &song, 0, 1024);
  host_play(&h, 36000);
  h.worst = 0;
  host_play(&h, 2000000);
  assert_true(h.worst < 2 * 1024);
}

/* ---- other hosts ---- */

/* Hosts that send time:beat as the vocabulary has it, from 0 or from any number, and barBeat below
   a bar: a place that they tell is the place. */
static void
other_hosts_are_believed_to_the_letter(void **state)
{
  static const double origins[] = {0, 1, 2, 3, 4, -4, 0.5};
  (void)state;
  for (size_t o = 0; o < COUNT(origins); ++o) {
    for (int every = 1; every < 96; every += 47) {
      RlClock c;
      rl_clock_init(&c, RATE);
      for (int i = 0; i < 2000; i += every) {
        const double beats = i / 8.0; /* eight reports a beat of 24000 frames */
        RlReport     r = {.said = RL_SAID_FRAME | RL_SAID_SPEED | RL_SAID_BAR | RL_SAID_BAR_BEAT |
                                  RL_SAID_BEAT | RL_SAID_BEAT_UNIT | RL_SAID_BEATS_PER_BAR |
                                  RL_SAID_TEMPO,
                          .frame         = 12345 + (int64_t)i * 3000,
                          .speed         = 1,
                          .bar           = (int64_t)floor(beats / 4),
                          .bar_beat      = fmod(beats, 4),
                          .beat          = beats + origins[o],
                          .beat_unit     = 4,
                          .beats_per_bar = 4,
                          .tempo         = 120};
        rl_clock_report(&c, &r);
        const RlMoment m = rl_clock_moment(&c, 0);
        assert_int_equal(m.bar, r.bar);
        assert_true(m.beat == r.bar_beat);
        assert_true(m.sure == 1);
        rl_clock_advance(&c, 3000L * every);
      }
    }
  }
}

/* A host that sends whole beats now and then, and a bar and beat as they are later. */
static void
the_habit_is_dropped_when_a_report_contradicts_it(void **state)
{
  RlClock        c;
  const RlReport twice = {.said = RL_SAID_FRAME | RL_SAID_SPEED | RL_SAID_BAR | RL_SAID_BAR_BEAT |
                                  RL_SAID_BEAT | RL_SAID_BEATS_PER_BAR | RL_SAID_TEMPO,
                          .frame         = 648000,
                          .bar           = 7,
                          .bar_beat      = 28,
                          .beat          = 3,
                          .beats_per_bar = 4,
                          .tempo         = 120};
  RlReport       plain = twice;
  (void)state;
  rl_clock_init(&c, RATE);
  rl_clock_report(&c, &twice);
  assert_int_equal(rl_clock_moment(&c, 0).bar, 7);
  assert_true(floor(rl_clock_moment(&c, 0).beat) == 2);
  plain.bar_beat = 2.25;
  plain.beat     = 30.25;
  rl_clock_report(&c, &plain);
  assert_int_equal(rl_clock_moment(&c, 0).bar, 7);
  assert_true(rl_clock_moment(&c, 0).beat == 2.25);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(the_simulated_host_sends_what_was_recorded),
    cmocka_unit_test(recorded_songs_are_followed_exactly_in_one_meter),
    cmocka_unit_test(recorded_songs_of_several_meters_are_followed_within_a_block),
    cmocka_unit_test(in_one_meter_every_place_is_exact),
    cmocka_unit_test(in_several_meters_every_place_is_within_50_ms),
    cmocka_unit_test(a_tempo_in_eighths_shows_within_a_bar),
    cmocka_unit_test(other_hosts_are_believed_to_the_letter),
    cmocka_unit_test(the_habit_is_dropped_when_a_report_contradicts_it),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
