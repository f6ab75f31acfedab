/* SPDX-License-Identifier: ISC */
/* The track itself is written down: armed, what was just heard, chosen bars; over stops, loops and
   locates; by the stereo plugin and the mono one. The record is a synthetic horn over a pad, at 120
   beats a minute. Source: core/capture/TAKES.md, "From the track". */
#include "scene.h"

#include "core/abc/abc.h"
#include "core/arrange/plan.h"
#include "core/phrase/sure.h"
#include "tests/core/ear/horn.h"

#include <malloc.h>
#include <math.h>
#include <sndfile.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>
#include <unistd.h>

enum { BEAT = RATE / 2 /* frames at 120 */, BAR = 4 * BEAT, BLOCK = 1024, LINE = 2 * BAR };

static RlPlan      takes;
static RlPhrase    phrase;
static float      *record;  /* interleaved, LINE frames are played over and over */
static const char *program; /* reedlamp-listen */

static const char chart[] = "key: G\nmeter: 4/4\nfeel: swing\n| I7 | % | % | % |\n"
                            "| IV7 | % | I7 | % |\n| V7 | IV7 | I7 | V7 |\n";

static void
begin_as(Scene *const s, const char *const uri, const double right, const RlHostWorker worker)
{
  size_t       frames;
  RlHostChoice choice = scene_choice(uri);
  choice.worker       = worker;
  scene_open(s, &choice);
  rl_host_activate(s->host);
  scene_settle(s);
  record = horn_record(RATE, 1, right, 0.5, &frames);
  scene_chart(s, chart);
  rl_host_set(s->host, "capture_from", 2);
  scene_settle(s);
}

static void
begin(Scene *const s)
{
  begin_as(s, STEREO, 0.4, RL_HOST_AFTER);
}

static void
end(Scene *const s)
{
  scene_end(s);
  free(record);
}

static void
roll(Scene *const s, const int bar)
{
  const Report report = rolling_at(bar, 0);
  scene_report(s, 0, &report);
}

static void
stop(Scene *const s, const int bar)
{
  const Report report = parked_at(bar, 0);
  scene_report(s, 0, &report);
  scene_run(s, 64);
}

/* `bars` bars of the record, from frame `from` of it on, over and over; then silence. */
static void
play_from(Scene *const s, const int from, const int frames)
{
  float *const left  = rl_host_audio(s->host, "in_left");
  float *const right = s->mono ? NULL : rl_host_audio(s->host, "in_right");
  for (int at = 0; at < frames; at += BLOCK) {
    const int n = frames - at < BLOCK ? frames - at : BLOCK;
    for (int i = 0; i < n; ++i) {
      const int f = (from + at + i) % LINE;
      left[i]     = record[2 * f];
      if (right) {
        right[i] = record[2 * f + 1];
      }
    }
    scene_run(s, (uint32_t)n);
    if (at / RATE != (at + n) / RATE) { /* not faster than it can be kept */
      rl_host_rest(2);
    }
  }
  memset(left, 0, BLOCK * sizeof(float));
  if (right) {
    memset(right, 0, BLOCK * sizeof(float));
  }
}

/* A second of silence at a time. */
static void
play_silence(Scene *const s, const int bars)
{
  for (int i = 0; i < bars; ++i) {
    scene_play(s, BAR, BLOCK);
    rl_host_rest(2);
  }
}

static void
takes_read(Scene *const s)
{
  RlPlanError error;
  assert_true(rl_plan_read(rl_slice(scene_ask(s, "take")), &phrase, &takes, &error));
}

/* Until there are so many takes: what lifts them is a thread. */
static void
await_takes(Scene *const s, const int count)
{
  const struct timespec pause = {0, 5000000};
  for (int i = 0; i < 4000; ++i) {
    takes_read(s);
    if (takes.phrase_count >= count) {
      break;
    }
    nanosleep(&pause, NULL);
  }
  assert_int_equal(takes.phrase_count, count);
}

static void
await_problem(Scene *const s, const char *const part)
{
  const struct timespec pause = {0, 5000000};
  const char           *said  = "";
  for (int i = 0; i < 4000 && !strstr(said, part); ++i) {
    said = scene_ask(s, "problem");
    nanosleep(&pause, NULL);
  }
  HAS(said, part);
}

/* Swing that wide is written as straight eighths. */
static int
straight(const int twelfth)
{
  return twelfth % 12 == 8 ? twelfth - 2 : twelfth;
}

/* The newest take stands on that bar and has `count` notes of the line from its note `from` on, 0
   or 5, the first of its second bar. */
static void
is_the_line(const int bar, const int from, const int count)
{
  const RlPlanned *const p = &takes.planned[takes.planned_count - 1];
  uint8_t                sure[RL_PHRASE_NOTES_MAX];
  rl_plan_phrase(&takes, p->phrase, &phrase);
  assert_int_equal(p->bar, bar);
  assert_true(fabs(phrase.tempo * 10 - round(phrase.tempo * 10)) < 1e-6);
  assert_int_equal(phrase.notes, count);
  assert_true(rl_phrase_sure_read(&phrase, sure));
  for (int i = 0; i < count; ++i) {
    const int *const note  = horn_line[(from + i) % HORN_NOTES];
    const int        later = (from + i) / HORN_NOTES * 96 - (from ? 48 : 0);
    assert_int_equal(rl_phrase_pitch(&phrase, &phrase.note[i]), note[2]);
    assert_int_equal(phrase.note[i].at, (straight(note[0]) + later) * (RL_TICKS / 12));
    assert_in_range(sure[i], 50, 99);
  }
}

static void
armed_it_is_written_down_from_the_press_to_the_next(void **const state)
{
  static const char *const uris[] = {STEREO, MONO};
  (void)state;
  for (int i = 0; i < 2; ++i) {
    Scene s;
    begin_as(&s, uris[i], 0.4, RL_HOST_AFTER);
    roll(&s, 0);
    play_from(&s, 0, BAR);
    scene_press(&s, "capture", 480); /* not before the press: bar 2 and not bar 1 */
    assert_int_equal(scene_last(&s)->taking, 2);
    play_from(&s, BAR + 960, BAR - 960);
    scene_press(&s, "capture", 480);
    await_takes(&s, 1);
    is_the_line(2, 5, 4);
    TEXT(scene_ask(&s, "problem"), "");
    end(&s);
  }
}

static void
armed_while_it_stands_it_begins_as_it_rolls_and_ends_with_the_chorus(void **const state)
{
  Scene s;
  (void)state;
  begin(&s);
  scene_press(&s, "capture", 480);
  assert_int_equal(scene_last(&s)->taking, 1);
  roll(&s, 0);
  play_from(&s, 0, 12 * BAR + BEAT); /* the line six times */
  assert_int_equal(scene_last(&s)->taking, 0);
  await_takes(&s, 1);
  is_the_line(1, 0, 6 * HORN_NOTES);
  end(&s);
}

static void
a_loop_gives_a_take_for_every_pass_and_a_stop_ends_one(void **const state)
{
  Scene s;
  (void)state;
  begin(&s);
  scene_press(&s, "capture", 480);
  for (int pass = 0; pass < 2; ++pass) { /* bars 5 and 6 */
    roll(&s, 4);
    play_from(&s, 0, LINE);
  }
  roll(&s, 0); /* a locate */
  play_from(&s, BAR, BAR);
  stop(&s, 1);
  assert_int_equal(scene_last(&s)->taking, 1); /* armed for the next */
  await_takes(&s, 3);
  is_the_line(1, 5, 4);
  rl_plan_phrase(&takes, 0, &phrase);
  assert_int_equal(phrase.notes, HORN_NOTES);
  assert_int_equal(takes.planned[0].bar, 5);
  assert_int_equal(takes.planned[1].bar, 5);
  scene_press(&s, "capture", 480);
  assert_int_equal(scene_last(&s)->taking, 0);
  end(&s);
}

static void
what_was_just_heard_becomes_a_take(void **const state)
{
  Scene s;
  (void)state;
  begin(&s);
  rl_host_set(s.host, "keep_last_length", 1);
  roll(&s, 0);
  play_from(&s, 0, 6 * BAR);
  scene_press(&s, "keep_last", 48);
  stop(&s, 6); /* or the music would go on while the take is waited for */
  await_takes(&s, 1);
  is_the_line(3, 0, 2 * HORN_NOTES);
  scene_play(&s, 5 * RATE, 4800);
  scene_press(&s, "keep_last", 48); /* after a stop it is still there */
  await_takes(&s, 2);
  is_the_line(3, 0, 2 * HORN_NOTES);
  roll(&s, 0); /* in the first bar after a break what came before is meant */
  play_from(&s, 0, BEAT);
  scene_press(&s, "keep_last", 48);
  await_takes(&s, 3);
  is_the_line(3, 0, 2 * HORN_NOTES);
  end(&s);
}

static void
bars_just_heard_become_a_take(void **const state)
{
  Scene s;
  (void)state;
  begin(&s);
  roll(&s, 0);
  play_from(&s, 0, 16 * BAR); /* a chorus and four bars */
  scene_send(&s, 0, "lift", "bars: 6");
  scene_run(&s, 64);
  await_takes(&s, 1);
  is_the_line(6, 5, 4);
  scene_send(&s, 0, "lift", "bars: 3-4"); /* of the second chorus: the newest pass */
  scene_run(&s, 64);
  await_takes(&s, 2);
  is_the_line(3, 0, HORN_NOTES);
  stop(&s, 0);
  scene_chart(&s, "key: C\n| I7 | IV7 | V7 |\n"); /* other bars: not heard */
  scene_send(&s, 0, "lift", "bars: 2");
  scene_run(&s, 64);
  await_problem(&s, "lift: bar 2: not heard; let the track play there, then ask again");
  scene_send(&s, 0, "lift", "bars: 3-4");
  scene_run(&s, 64);
  await_problem(&s, "lift: bars 3 to 4: the form has no such bar");
  scene_send(&s, 0, "lift", "six");
  scene_run(&s, 64);
  await_problem(&s, "lift: write bars: 3-6, or picture: Take 2");
  end(&s);
}

/* Whatever the rate, and with blocks that do not divide the beat. */
static void
at_any_rate_it_is_the_same(void **const state)
{
  static const double rates[] = {22050, 44100, 96000, 192000};
  (void)state;
  for (int r = 0; r < 4; ++r) {
    Scene        s;
    size_t       frames;
    RlHostChoice choice = scene_choice(STEREO);
    choice.rate         = rates[r];
    scene_open(&s, &choice);
    rl_host_activate(s.host);
    scene_settle(&s);
    scene_chart(&s, chart);
    rl_host_set(s.host, "capture_from", 2);
    scene_settle(&s);
    record = horn_record(rates[r], 1, 0.4, 0.5, &frames);
    roll(&s, 4);
    for (size_t at = 0; at + 300 < frames; at += 300) {
      for (size_t i = 0; i < 300; ++i) {
        rl_host_audio(s.host, "in_left")[i]  = record[2 * (at + i)];
        rl_host_audio(s.host, "in_right")[i] = record[2 * (at + i) + 1];
      }
      scene_run(&s, 300);
      if (at % (300 * 80) == 0) {
        rl_host_rest(1);
      }
    }
    scene_send(&s, 0, "lift", "bars: 5-6");
    scene_run(&s, 64);
    await_takes(&s, 1);
    is_the_line(5, 0, HORN_NOTES);
    TEXT(scene_ask(&s, "problem"), "");
    end(&s);
  }
}

/* A tempo that changes: the notes stay on their beats. */
static void
notes_are_where_the_music_was(void **const state)
{
  Scene  s;
  Report report = rolling_at(0, 0);
  (void)state;
  begin(&s);
  scene_report(&s, 0, &report);
  play_from(&s, 0, BAR);
  report = rolling_at(1, 0); /* the host goes twice as fast: bar 2 of the line is half a bar */
  report.tempo = 60;
  scene_report(&s, 0, &report);
  play_from(&s, BAR, BAR);
  scene_send(&s, 0, "lift", "bars: 1");
  scene_run(&s, 64);
  await_takes(&s, 1);
  is_the_line(1, 0, 5);
  scene_press(&s, "keep_last", 48);
  await_takes(&s, 2);
  const RlPlanned *const p = &takes.planned[takes.planned_count - 1];
  rl_plan_phrase(&takes, p->phrase, &phrase);
  assert_int_equal(phrase.notes, HORN_NOTES);
  assert_int_equal(phrase.note[5].at,
                   4 * RL_TICKS + RL_TICKS / 2); /* a beat at 120 is half a one */
  assert_int_equal(phrase.note[7].at, 5 * RL_TICKS);
  end(&s);
}

/* Four taps count in; the record is heard from bar 1 on. */
static void
on_the_player_s_clock_too(void **const state)
{
  Scene s;
  (void)state;
  begin(&s);
  rl_host_set(s.host, "clock", 1);
  scene_settle(&s);
  for (int i = 0; i < 4; ++i) {
    scene_press(&s, "tap", 48);
    scene_play(&s, BEAT - 96, BLOCK);
  }
  play_from(&s, 0, LINE);
  scene_press(&s, "keep_last", 48);
  await_takes(&s, 1);
  is_the_line(1, 0, HORN_NOTES);
  end(&s);
}

static void
disabled_and_freewheeling_nothing_is_kept(void **const state)
{
  static const char *const ports[] = {"enabled", "freewheel"};
  (void)state;
  for (int i = 0; i < 2; ++i) {
    Scene s;
    begin(&s);
    rl_host_set(s.host, ports[i], (float)i);
    roll(&s, 0);
    play_from(&s, 0, 2 * BAR);
    rl_host_set(s.host, ports[i], (float)!i);
    scene_run(&s, 64);
    scene_run(&s, 64);
    scene_send(&s, 0, "lift", "bars: 1");
    scene_run(&s, 64);
    await_problem(&s, "lift: bar 1: not heard");
    end(&s);
  }
}

/* The program, told the same of the grid, writes the same tune. */
static void
reedlamp_listen_finds_the_same(void **const state)
{
  static const char wav[] = "plugin-lift.wav", text[] = "plugin-lift.chart";
  static RlPhrase   told;
  char              command[4200], abc[RL_ABC_MAX];
  uint8_t           here[RL_PHRASE_NOTES_MAX] = {0}, there[RL_PHRASE_NOTES_MAX] = {0};
  SF_INFO    info = {.samplerate = RATE, .channels = 2, .format = SF_FORMAT_WAV | SF_FORMAT_FLOAT};
  Scene      s;
  RlAbcError wrong;
  (void)state;
  begin(&s);
  roll(&s, 0);
  play_from(&s, 0, LINE);
  scene_press(&s, "keep_last", 48);
  await_takes(&s, 1);
  is_the_line(1, 0, HORN_NOTES);
  SNDFILE *const sound = sf_open(wav, SFM_WRITE, &info);
  assert_true(sound && sf_writef_float(sound, record, LINE) == LINE && !sf_close(sound));
  FILE *const paper = fopen(text, "w");
  assert_true(paper && fputs(chart, paper) >= 0 && !fclose(paper));
  snprintf(command, sizeof(command),
           "%s %s --phrase=all --tempo=120 --at=0 --feel=swung --chart=%s 2>/dev/null", program,
           wav, text);
  FILE *const out = popen(command, "r");
  assert_non_null(out);
  abc[fread(abc, 1, sizeof(abc) - 1, out)] = '\0';
  pclose(out);
  unlink(wav);
  unlink(text);
  assert_true(rl_abc_read(rl_slice(abc), &told, &wrong));
  assert_int_equal(told.notes, phrase.notes);
  assert_true(rl_phrase_sure_read(&phrase, here) && rl_phrase_sure_read(&told, there));
  for (int i = 0; i < told.notes; ++i) {
    assert_int_equal(told.note[i].at, phrase.note[i].at);
    assert_int_equal(told.note[i].lasts, phrase.note[i].lasts);
    assert_int_equal(rl_phrase_pitch(&told, &told.note[i]),
                     rl_phrase_pitch(&phrase, &phrase.note[i]));
    assert_true(abs((int)here[i] - (int)there[i]) <= 3);
  }
  end(&s);
}

static size_t
memory_now(void)
{
  const struct mallinfo2 m = mallinfo2();
  return m.uordblks + m.hblkhd;
}

/* A minute kept and nearly all of it lifted: 32 MiB at most, and gone with it. */
static void
memory_is_bounded_and_given_back(void **const state)
{
  const struct timespec pause = {0, 1000000};
  const bool            few   = getenv("REEDLAMP_FEW") != NULL; /* and memory is watched */
  Scene                 s;
  (void)state;
  begin(&s);
  rl_host_set(s.host, "capture_from", 0);
  scene_chart(&s, "key: G\n| I7 | % | % | % | % | % | % | % | % | % | % | % | % | % | % | % |\n"
                  "| I7 | % | % | % | % | % | % | % | % | % | % | % | % | % | % | % |\n");
  const size_t before = memory_now();
  size_t       most   = 0;
  rl_host_set(s.host, "capture_from", 2);
  scene_settle(&s);
  roll(&s, 0);
  play_from(&s, 0, (few ? 6 : 30) * BAR);
  scene_send(&s, 0, "lift", few ? "bars: 1-5" : "bars: 1-29");
  scene_run(&s, 64);
  for (int i = 0; i < 60000 && !(scene_told(&s, "take") && strstr(scene_told(&s, "take"), "Take"));
       ++i) {
    most = memory_now() > most ? memory_now() : most;
    scene_run(&s, 64);
    nanosleep(&pause, NULL);
  }
  rl_host_set(s.host, "capture_from", 0);
  scene_settle(&s);
  rl_host_rest(2);
  const size_t after = memory_now();
  print_message("%zu bytes at most, %zu after\n", most - before, after - before);
  assert_true(few || (most - before > 4U << 20 && most - before < 32U << 20));
  assert_true(few || after - before < 1U << 18); /* the picture, the take, what was told */
  end(&s);
}

static void
where_no_horn_plays_it_says_so(void **const state)
{
  Scene s;
  (void)state;
  begin(&s);
  roll(&s, 0);
  play_silence(&s, 4);
  scene_send(&s, 0, "lift", "bars: 2-3");
  scene_run(&s, 64);
  await_problem(&s, "lift: bars 2 to 3: no notes are heard in it");
  takes_read(&s);
  assert_int_equal(takes.phrase_count, 0);
  end(&s);
}

static void
off_nothing_is_kept(void **const state)
{
  Scene s;
  (void)state;
  begin(&s);
  roll(&s, 0);
  play_from(&s, 0, 4 * BAR);
  rl_host_set(s.host, "capture_from", 0);
  scene_run(&s, 64);
  scene_run(&s, 64);
  scene_send(&s, 0, "lift", "bars: 2-3");
  scene_run(&s, 64);
  await_problem(&s, "lift: bars 2 to 3: the track is not kept; choose the track in capture_from");
  rl_host_set(s.host, "capture_from", 2); /* what was kept is gone */
  scene_run(&s, 64);
  scene_run(&s, 64);
  scene_send(&s, 0, "lift", "bars: 2-3");
  scene_run(&s, 64);
  await_problem(&s, "lift: bars 2 to 3: not heard");
  end(&s);
}

static void
the_picture_is_told(void **const state)
{
  Scene s;
  (void)state;
  begin(&s);
  roll(&s, 0);
  play_from(&s, 0, 4 * BAR);
  scene_send(&s, 0, "lift", "picture: Take 1");
  scene_run(&s, 64);
  await_problem(&s, "lift: that take has no picture");
  scene_send(&s, 0, "lift", "bars: 1-2");
  scene_run(&s, 64);
  await_takes(&s, 1);
  scene_send(&s, 0, "lift", "picture: Take 1");
  for (int i = 0; i < 40; ++i) {
    scene_run(&s, 64);
  }
  const Picture *const p = &s.picture;
  TEXT(p->title, "Take 1");
  assert_int_equal(p->columns, 200); /* four seconds */
  assert_int_equal(p->told, p->columns);
  NEAR(p->begins, 0, 0.02);
  NEAR(p->ends, 8, 0.02);
  for (int i = 0; i < HORN_NOTES; ++i) { /* bright where the notes are, and dark a tritone above */
    const int column = (int)((horn_on(i) + horn_off(i)) / 2 * 50);
    const int row    = horn_line[i][2] - p->lowest;
    assert_true(p->cell[column * 72 + row] > 150);
    assert_true(p->cell[column * 72 + row] > p->cell[column * 72 + row + 6] + 60);
  }
  TEXT(scene_ask(&s, "problem"), "");
  end(&s);
}

/* ---- listened to ---- */

enum { HEARD = 10 * RATE };

/* What comes out on the left while nothing comes in. */
static void
listen_for(Scene *const s, float *const heard, const int seconds)
{
  for (int at = 0; at < seconds * RATE; at += BLOCK) {
    const int n = seconds * RATE - at < BLOCK ? seconds * RATE - at : BLOCK;
    scene_run(s, (uint32_t)n);
    memcpy(heard + at, rl_host_audio(s->host, "out_left"), (size_t)n * sizeof(float));
  }
}

/* How like `heard` from `late` on is to both sides of the record in one: 1 is the same, whatever
   the gain. One sample of 31 of four seconds. */
static double
likeness(const float *const heard, const int late)
{
  double both = 0, ours = 0, theirs = 0;
  for (int i = RATE / 10; i < LINE - RATE / 10; i += 31) {
    const double a = (double)heard[i + late];
    const double b = (double)record[2 * i] + (double)record[2 * i + 1];
    both += a * b;
    ours += a * a;
    theirs += b * b;
  }
  return both / sqrt(ours * theirs + 1e-12);
}

static int
last_sound(const float *const heard, const int seconds)
{
  int i = seconds * RATE - 1;
  while (i > 0 && heard[i] == 0) {
    --i;
  }
  return i;
}

static void
what_a_take_was_lifted_from_is_listened_to(void **const state)
{
  Scene        s;
  float *const heard = (float *)malloc(HEARD * sizeof(float));
  double       best  = 0;
  (void)state;
  begin(&s);
  roll(&s, 0);
  play_from(&s, 0, 4 * BAR);
  scene_send(&s, 0, "lift", "bars: 1-2");
  scene_run(&s, 64);
  await_takes(&s, 1);
  stop(&s, 2);
  scene_send(&s, 0, "hear_take", "record: Take 1");
  listen_for(&s, heard, 5);
  for (int late = 0; late < RATE / 10; ++late) {
    best = fmax(best, likeness(heard, late));
  }
  assert_true(best > 0.98);
  NEAR((double)last_sound(heard, 5) / RATE, 4, 0.05);
  scene_send(&s, 0, "hear_take", "record: Take 1\nspeed: 1/2");
  listen_for(&s, heard, 10);
  const bool can = !strstr(scene_ask(&s, "problem"), "full speed only"); /* without SoundTouch */
  assert_true(can ? fabs((double)last_sound(heard, 10) / RATE - 8) < 0.1
                  : last_sound(heard, 10) == 0);
  scene_send(&s, 0, "hear_take", "record: Take 2");
  scene_run(&s, 64);
  HAS(scene_ask(&s, "problem"), "hear_take: that take was not lifted from the track lately");
  rl_host_set(s.host, "capture_from", 0);
  scene_play(&s, 1024, 64);
  scene_send(&s, 0, "hear_take", "record: Take 1");
  scene_run(&s, 64);
  HAS(scene_ask(&s, "problem"), "hear_take: what it was lifted from is no longer kept");
  free(heard);
  end(&s);
}

/* A minute later something else stands there. */
static void
after_a_minute_it_is_no_longer_kept(void **const state)
{
  Scene s;
  (void)state;
  begin(&s);
  roll(&s, 0);
  play_from(&s, 0, 2 * BAR);
  play_from(&s, 0, BAR);
  scene_send(&s, 0, "lift", "bars: 1-2");
  scene_run(&s, 64);
  await_takes(&s, 1);
  play_silence(&s, 31);
  stop(&s, 2);
  scene_send(&s, 0, "hear_take", "record: Take 1");
  scene_run(&s, 64);
  HAS(scene_ask(&s, "problem"), "hear_take: what it was lifted from is no longer kept");
  end(&s);
}

int
main(const int count, char **const arguments)
{
  program                         = count > 1 ? arguments[1] : "reedlamp-listen";
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(armed_it_is_written_down_from_the_press_to_the_next),
    cmocka_unit_test(armed_while_it_stands_it_begins_as_it_rolls_and_ends_with_the_chorus),
    cmocka_unit_test(a_loop_gives_a_take_for_every_pass_and_a_stop_ends_one),
    cmocka_unit_test(what_was_just_heard_becomes_a_take),
    cmocka_unit_test(bars_just_heard_become_a_take),
    cmocka_unit_test(at_any_rate_it_is_the_same),
    cmocka_unit_test(notes_are_where_the_music_was),
    cmocka_unit_test(on_the_player_s_clock_too),
    cmocka_unit_test(disabled_and_freewheeling_nothing_is_kept),
    cmocka_unit_test(reedlamp_listen_finds_the_same),
    cmocka_unit_test(memory_is_bounded_and_given_back),
    cmocka_unit_test(where_no_horn_plays_it_says_so),
    cmocka_unit_test(off_nothing_is_kept),
    cmocka_unit_test(the_picture_is_told),
    cmocka_unit_test(what_a_take_was_lifted_from_is_listened_to),
    cmocka_unit_test(after_a_minute_it_is_no_longer_kept),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
