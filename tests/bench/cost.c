/* SPDX-License-Identifier: ISC */
/* What a block costs. Usage: cost BUNDLES SCENE BLOCKS, to be counted under callgrind; or cost
   BUNDLES time, which times run() against eg-metro's in the same host by the clock, and the core's
   longer jobs. */
#define _GNU_SOURCE
#include "core/arrange/tab.h"
#include "core/arrange/target_line.h"
#include "core/capture/notate.h"
#include "core/chart/chart.h"
#include "plugin/host/host.h"
#include "tests/plugin/reed_sound.h"

#include <lv2/atom/atom.h>

#include <malloc.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

enum { RATE = 48000, BLOCK = 64 };

typedef enum { QUIET, REPORTS, TICKS, CHANGES, AIR, HEARS, LISTENS, SCENES } Scene;
static const char *const scenes[SCENES] = {"quiet", "reports", "ticks",  "changes",
                                           "air",   "hears",   "listens"};

static double
seconds(void)
{
  struct timespec now;
  clock_gettime(CLOCK_MONOTONIC, &now);
  return (double)now.tv_sec + 1e-9 * (double)now.tv_nsec;
}

/* 4/4 at 123.4; `ticks` rounds as hosts do that count 1920 in a quarter. */
static void
report(RlHost *const h, const int64_t frame, const bool ticks)
{
  static const float   bpm = 123.4F, speed = 1, bpb = 4;
  static const int32_t unit  = 4;
  const double         beats = (double)frame * (double)bpm / (60 * RATE);
  const int64_t        bar   = (int64_t)floor(beats / 4);
  const double         in    = beats - 4 * (double)bar;
  const float          beat  = (float)(ticks ? floor(in * 1920) / 1920 : in);
  const RlHostPosition now   = {&frame, &bar, &speed, &beat, &bpb, &bpm, NULL, &unit};
  rl_host_send_position(h, 0, &now);
}

static RlHost *
opened(const char *const bundles, const char *const uri, const uint32_t block)
{
  const RlHostChoice choice = {bundles, uri, RATE, block, RL_HOST_AFTER, false, 0};
  RlHost *const      h      = rl_host_open(&choice);
  if (!h) {
    exit(EXIT_FAILURE);
  }
  rl_host_activate(h);
  return h;
}

/* A note every 150 ms, in two holes at times. */
static void
reeds_play(RlHost *const h, const int block)
{
  enum { LONG = RATE * 2 / BLOCK };
  static float sound[LONG * BLOCK];
  for (int i = 0; !block && i < 13; ++i) {
    reed_add(sound, LONG * BLOCK, RATE, 0.15 * i, 0.15 * i + 0.13, 60 + i * 7 % 24);
    reed_add(sound, i % 4 ? 0 : LONG * BLOCK, RATE, 0.15 * i, 0.15 * i + 0.13, 64 + i * 7 % 24);
  }
  memcpy(rl_host_audio(h, "in_left"), sound + block % LONG * BLOCK, BLOCK * sizeof(float));
}

static int
scene_play(const char *const bundles, const char *const name, const int blocks)
{
  int scene = 0;
  while (scene < SCENES && strcmp(scenes[scene], name) != 0) {
    ++scene;
  }
  RlHost *const h = opened(bundles, "urn:reedlamp:plugin", BLOCK);
  if (scene == CHANGES) { /* another chord on every beat */
    rl_host_send_text(h, 0, "urn:reedlamp:chart", LV2_ATOM__String,
                      "| I7 IV7 ii7 V7 | vi7 bVII7 III7 #IVdim7 |");
    rl_host_run(h, BLOCK);
  }
  if (scene == AIR) { /* to nobody */
    rl_host_send_text(h, 0, "urn:reedlamp:osc_to", LV2_ATOM__String, "");
    rl_host_set(h, "send_osc", 1);
  }
  if (scene == HEARS) {
    rl_host_set(h, "harp_from", 2);
  }
  if (scene == LISTENS) {
    rl_host_set(h, "clock", 2);
  }
  report(h, 0, false);
  for (int i = 0; i < blocks; ++i) {
    if (scene == HEARS || scene == LISTENS) {
      reeds_play(h, i);
    }
    if (i && (scene == REPORTS || scene == TICKS)) {
      report(h, (int64_t)i * BLOCK, scene == TICKS);
    }
    rl_host_run(h, BLOCK);
  }
  rl_host_close(h);
  return EXIT_SUCCESS;
}

/* Nanoseconds a block, the best of several runs. */
static double
block_time(RlHost *const h)
{
  enum { RUNS = 9, BLOCKS = 20000 };
  double best = HUGE_VAL;
  for (int run = 0; run < RUNS; ++run) {
    const double start = seconds();
    for (int i = 0; i < BLOCKS; ++i) {
      rl_host_run_bare(h, BLOCK);
    }
    best = fmin(best, (seconds() - start) / BLOCKS);
  }
  return 1e9 * best;
}

static double
rolling_time(const char *const bundles, const char *const uri)
{
  RlHost *const h = opened(bundles, uri, BLOCK);
  report(h, 0, false);
  rl_host_run(h, BLOCK);
  const double time = block_time(h);
  rl_host_close(h);
  return time;
}

/* A form of `bars` bars with another chord in each. */
static void
form_of(RlForm *const form, const int bars)
{
  static const char *const chords[] = {"I7", "IV7", "ii7", "V7", "VI7", "bVII9", "iv6"};
  static char              buffer[RL_CHART_MAX];
  RlText                   text = rl_text_in(buffer, sizeof(buffer));
  RlChartError             error;
  for (int i = 0; i < bars; ++i) {
    rl_text_add(&text, "| ");
    rl_text_add(&text, chords[i * i % 7]);
    rl_text_add(&text, " ");
  }
  rl_chart_read((RlSlice){buffer, text.used}, form, &error);
}

static double
line_time(const int bars)
{
  static RlForm                form;
  static RlTargetLine          line;
  static RlTargetLineWorkspace room;
  const RlHarp                 harp = rl_harp_make((RlHarpChoice){0, 0, RL_RICHTER});
  double                       best = HUGE_VAL;
  form_of(&form, bars);
  for (int run = 0; run < 20; ++run) {
    const double start = seconds();
    rl_target_line_find(&form, rl_key_named(7, false), &harp, (RlPlayer){3, 3, true}, &room, &line);
    best = fmin(best, seconds() - start);
  }
  return 1e3 * best;
}

/* Five hundred quavers that wander through the compass, over a dominant seventh. */
static void
tabs_time(void)
{
  enum { NOTES = 500, HARPS = 12 * RL_TUNINGS };
  static RlTabWorkspace room;
  static RlNote         notes[NOTES];
  static RlTab          tab[NOTES];
  static RlTabRank      ranked[HARPS];
  static const RlPlayer player = {3, 3, true};
  RlHarpChoice          harps[HARPS];
  RlChord               chord;
  int                   pitch = 60;
  double                fit = HUGE_VAL, rank = HUGE_VAL;
  rl_chord_read(rl_slice("I7"), &chord);
  const RlHarmony over = rl_harmony_of(chord, rl_key_named(7, false));
  for (int i = 0; i < NOTES; ++i) {
    pitch += i * 7 % 9 - 4 + (pitch < 58) * 5 - (pitch > 86) * 5;
    notes[i] = (RlNote){.at = i * RL_TICKS / 2, .lasts = RL_TICKS / 2, .pitch = (int16_t)pitch};
  }
  for (int i = 0; i < HARPS; ++i) {
    harps[i] = (RlHarpChoice){(uint8_t)(i % 12), 0, (RlTuning)(i / 12)};
  }
  for (int run = 0; run < 20; ++run) {
    const RlHarp harp  = rl_harp_make(harps[0]);
    const double start = seconds();
    rl_tab_fit(notes, NOTES, &over, &harp, player, &room, tab);
    const double middle = seconds();
    rl_tab_rank(notes, NOTES, &over, harps, HARPS, player, &room, tab, ranked);
    fit  = fmin(fit, middle - start);
    rank = fmin(rank, seconds() - middle);
  }
  printf("%-58s %10.2f ms (aim: under 2)\n", "tab for a phrase of 500 notes", 1e3 * fit);
  printf("%-58s %10.2f ms (aim: under 150)\n", "the same on 12 keys x 6 tunings", 1e3 * rank);
}

/* As many notes as a take holds: eighths and triplets, swung, uneven. */
static double
take_time(void)
{
  static RlForm            form;
  static RlTake            take;
  static RlNotateWorkspace room;
  static RlNotated         notated;
  static const char        chart[] = "key: G\n| I7 | IV7 | I7 | I7 |\n";
  RlChartError             error;
  double                   best = HUGE_VAL;
  rl_chart_read(rl_slice(chart), &form, &error);
  rl_take_begin(&take);
  for (int i = 0; i < RL_TAKE_NOTES_MAX; ++i) {
    const int     beat   = i / 5 * 2;
    const double  at     = beat + (i % 5 < 3 ? i % 5 / 3.0 : 1 + (i % 5 == 4 ? 0.62 : 0));
    const double  uneven = (i * 7919 % 100 - 50) / 2500.0 + 0.02;
    const uint8_t on[3]  = {0x90, (uint8_t)(60 + i % 12), 80};
    const uint8_t off[3] = {0x80, (uint8_t)(60 + i % 12), 0};
    rl_take_midi(&take, at + uneven, on, 3);
    rl_take_midi(&take, at + uneven + 0.3, off, 3);
  }
  rl_take_end(&take, 1000);
  for (int run = 0; run < 5; ++run) {
    const double start = seconds();
    rl_notate(&take, &form, form.key, 110, &room, &notated);
    best = fmin(best, seconds() - start);
  }
  return 1e3 * best;
}

static double
chart_time(void)
{
  static RlForm form;
  static char   text[RL_CHART_MAX];
  RlChartError  error;
  double        best = HUGE_VAL;
  memset(text, '#', sizeof(text));
  text[sizeof(text) - 4096] = '\n';
  for (size_t i = sizeof(text) - 4095; i + 8 < sizeof(text); i += 8) {
    memcpy(text + i, "| ii7 V7", 8); // NOLINT(bugprone-not-null-terminated-result): a slice
  }
  for (int run = 0; run < 50; ++run) {
    const double start = seconds();
    rl_chart_read((RlSlice){text, sizeof(text) - 8}, &form, &error);
    best = fmin(best, seconds() - start);
  }
  return 1e3 * best;
}

static size_t
used(void)
{
  return mallinfo2().uordblks + mallinfo2().hblkhd;
}

/* Bytes the plugin itself holds, its host's own buffers taken off by opening it twice; `clock` as
   the port has it. */
static double
memory(const char *const bundles, const float clock)
{
  RlHost *const first  = opened(bundles, "urn:reedlamp:plugin", BLOCK);
  const size_t  before = used();
  RlHost *const second = opened(bundles, "urn:reedlamp:plugin", BLOCK);
  rl_host_send_text(second, 0, "urn:reedlamp:chart", LV2_ATOM__String, "| I7 | IV7 |");
  rl_host_set(second, "clock", clock);
  rl_host_run(second, BLOCK);
  rl_host_run(second, BLOCK);
  const size_t after = used();
  rl_host_close(second);
  rl_host_close(first);
  return (double)(after - before) / (1 << 20);
}

static int
times(const char *const bundles)
{
  const double ours = rolling_time(bundles, "urn:reedlamp:plugin");
  const double metro =
    rolling_time("/usr/lib/lv2/eg-metro.lv2", "http://lv2plug.in/plugins/eg-metro");
  printf("%-58s %10.0f ns\n", "run(), rolling, 64 frames, nothing to tell", ours);
  printf("%-58s %10.0f ns\n", "eg-metro's run() in the same host, rolling, 64 frames", metro);
  printf("%-58s %10.2f    (aim: at most 1)\n", "ours to eg-metro's", ours / metro);
  printf("%-58s %10.2f ms (aim: under 5)\n", "the line of targets, 128 bars, 128 changes",
         line_time(128));
  printf("%-58s %10.2f ms\n", "the line of targets, 512 bars", line_time(512));
  tabs_time();
  printf("%-58s %10.2f ms\n", "reading a chart of 16 KiB", chart_time());
  printf("%-58s %10.2f ms (aim: under 200)\n", "writing down a take of 512 notes", take_time());
  printf("%-58s %10.2f MiB (aim: at most 2; with the host's buffers)\n", "an instance",
         memory(bundles, 0));
  printf("%-58s %10.2f MiB (aim: at most 16)\n", "an instance that listens", memory(bundles, 2));
  return EXIT_SUCCESS;
}

int
main(const int argc, char **const argv)
{
  if (argc == 3 && !strcmp(argv[2], "time")) {
    return times(argv[1]);
  }
  if (argc != 4) {
    fputs("usage: cost BUNDLES SCENE BLOCKS, or cost BUNDLES time\n", stderr);
    return EXIT_FAILURE;
  }
  return scene_play(argv[1], argv[2], atoi(argv[3]));
}
