/* Runs the plugin through everything that can happen, the guard awake inside run() alone. Usage:
   rt_run BUNDLES [plant]; with `plant` a malloc is made where none may be, and the guard must
   abort. */
#define _GNU_SOURCE
#include "host.h"

#include <lv2/atom/atom.h>

#include <dlfcn.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { RATE = 48000, BLOCK = 256, BLOCKS = 6000 };

/* Of the guard; weak, so that the program also starts without it, to say so. */
void rl_rt_enter(void) __attribute__((weak));
void rl_rt_leave(void) __attribute__((weak));

static const char *const charts[] = {
  "key: G\n| I7 | IV7 | I7 V7 |",
  "key: Dm\nmeter: 6/8\nlead-in: 1\nchoruses: 2\n| i7 | iv7 |\n[ending]\n| i |",
  "| H7 |", /* an error */
  "tempo: 90\n|: C7 | N.C. | F7/A :|x40",
};

static void
around(void *const data, const bool before)
{
  const bool *const plant = (const bool *)data;
  if (before) {
    rl_rt_enter();
    if (*plant) {
      void *volatile const planted = malloc(1);
      free(planted);
    }
  } else {
    rl_rt_leave();
  }
}

/* Reports in every block, but for stretches of silence, of partial ones and of nonsense. */
static void
report(RlHost *const h, const int i, int64_t frame)
{
  static const float   unit_beats[] = {4, 6, 7, 3};
  const int            phase        = i / 700 % 4;
  int64_t              bar          = frame / (2 * RATE);
  float                bpb          = unit_beats[i / 500 % 4];
  int32_t              unit         = i / 500 % 2 ? 8 : 4;
  float                bpm          = phase == 3 ? NAN : 120 + (float)(i % 7);
  float                speed        = i % 333 > 300 ? 0 : 1;
  float                beat         = (float)(frame % (2 * RATE)) / RATE * bpb / 2;
  RlHostPosition       all          = {&frame, &bar, &speed, &beat, &bpb, &bpm, NULL, &unit};
  const RlHostPosition part         = {.frame = &frame, .speed = &speed};
  if (i % 1000 == 999) {
    frame = 0; /* a jump */
  }
  if (phase != 1) {
    rl_host_send_position(h, i % 5 ? 0 : BLOCK / 2, phase == 2 ? &part : &all);
  }
}

static void
events(RlHost *const h, const int i)
{
  static const char *const texts[] = {"urn:reedlamp:chart", "urn:reedlamp:osc_to"};
  if (i % 97 == 0) {
    rl_host_send_text(h, BLOCK - 2, texts[i % 2], LV2_ATOM__String, charts[i / 97 % 4]);
  }
  if (i % 211 == 0) {
    rl_host_send_text(h, BLOCK - 2, "urn:reedlamp:chart_file", LV2_ATOM__Path, "/nowhere/at.chart");
  }
  if (i % 53 == 0) {
    rl_host_send_get(h, BLOCK - 1, NULL);
  }
  if (i % 31 == 0) {
    const uint8_t press[3] = {0xB0, (uint8_t)(80 + i % 3), 127};
    rl_host_send_midi(h, "midi_in", i % BLOCK, press);
  }
  rl_host_set(h, "harp_key", (float)(i / 40 % 12));
  rl_host_set(h, "tuning", (float)(i / 60 % 6));
  rl_host_set(h, "song_key", (float)(i / 80 % 13));
  rl_host_set(h, "clock", (float)(i / 900 % 2));
  rl_host_set(h, "count_by", (float)(i / 400 % 2));
  rl_host_set(h, "start_bar", (float)(i / 600 % 3));
  rl_host_set(h, "tap", (float)(i / 46 % 2));
  rl_host_set(h, "bar_one", i % 501 == 0);
  rl_host_set(h, "enabled", i % 1200 < 1000);
}

static int
play(const char *const bundles, const char *const uri, const RlHostWorker worker,
     const uint32_t notify_bytes, bool plant)
{
  const RlHostChoice choice = {bundles, uri, RATE, BLOCK, worker, false, notify_bytes};
  RlHost *const      h      = rl_host_open(&choice);
  if (!h) {
    return EXIT_FAILURE;
  }
  rl_host_around(h, around, &plant);
  rl_host_activate(h);
  for (int i = 0; i < BLOCKS; ++i) {
    report(h, i, (int64_t)i * BLOCK);
    events(h, i);
    rl_host_run(h, i % 50 ? BLOCK : 0);
  }
  rl_host_close(h);
  return EXIT_SUCCESS;
}

int
main(const int argc, char **const argv)
{
  const bool plant = argc > 2 && !strcmp(argv[2], "plant");
  if (argc < 2 || !rl_rt_enter || !rl_rt_leave) {
    fputs("usage: LD_PRELOAD=rt_guard.so rt_run BUNDLES [plant]\n", stderr);
    return EXIT_FAILURE;
  }
  return play(argv[1], "urn:reedlamp:plugin", RL_HOST_AFTER, 0, plant) ||
         play(argv[1], "urn:reedlamp:mono", RL_HOST_THREADED, 0, plant) ||
         play(argv[1], "urn:reedlamp:plugin", RL_HOST_THREADED, 300, plant);
}
