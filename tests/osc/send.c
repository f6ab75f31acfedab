/* SPDX-License-Identifier: ISC */
#define _GNU_SOURCE /* RUSAGE_THREAD */
/* Plays the plugin in real time with OSC on, for whoever listens. Usage:
     send BUNDLES OSC_TO SECONDS [KEEP]
   The twelve-bar of the plugin's own at 120, 4/4, with a plan of 16 KiB; every third second another
   harp, every fifth a chart of 16 KiB or back. With KEEP nothing but the music moves. Whenever the
   problem changes it is printed, with the seconds since the beginning. Exit status 1 if a run()
   computed for more than ten milliseconds, or lasted longer and slept in it: who is merely put
   aside by a busy machine does not sleep. */
#include "plugin/host/host.h"
#include "tests/plugin/reed_sound.h"

#include <lv2/atom/atom.h>
#include <lv2/atom/util.h>
#include <lv2/patch/patch.h>

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/resource.h>
#include <time.h>

enum { RATE = 48000, BLOCK = 256 };

typedef struct {
  RlHost  *host;
  int64_t  frame;
  double   entered, longest; /* seconds in run() */
  double   computed, most;   /* the same of this thread's processor time */
  long     slept;            /* how often this thread has, before run() */
  bool     waited;           /* some run() was too long by the rule at the head */
  LV2_URID set, property, value, problem;
} Play;

static double
seconds(const clockid_t clock)
{
  struct timespec now;
  clock_gettime(clock, &now);
  return (double)now.tv_sec + 1e-9 * (double)now.tv_nsec;
}

static void
heard(void *const data, const char *const symbol, const int64_t frame, const LV2_Atom *const atom)
{
  const Play *const            play   = (const Play *)data;
  const LV2_Atom_Object *const object = (const LV2_Atom_Object *)atom;
  const LV2_Atom              *which  = NULL;
  const LV2_Atom              *what   = NULL;
  (void)symbol;
  (void)frame;
  if (object->body.otype != play->set) {
    return;
  }
  lv2_atom_object_get(object, play->property, &which, play->value, &what, 0);
  if (which && what && ((const LV2_Atom_URID *)which)->body == play->problem) {
    printf("%.2f problem: %s\n", (double)play->frame / RATE,
           (const char *)LV2_ATOM_BODY_CONST(what));
    fflush(stdout);
  }
}

/* Voluntary context switches of this thread: it slept so often. */
static long
sleeps(void)
{
  struct rusage usage;
  getrusage(RUSAGE_THREAD, &usage);
  return usage.ru_nvcsw;
}

static void
around(void *const data, const bool before)
{
  static const double too_long = 0.01; /* seconds */
  Play *const         play     = (Play *)data;
  if (before) {
    play->slept    = sleeps();
    play->computed = seconds(CLOCK_THREAD_CPUTIME_ID);
    play->entered  = seconds(CLOCK_MONOTONIC);
  } else {
    const double lasted   = seconds(CLOCK_MONOTONIC) - play->entered;
    const double computed = seconds(CLOCK_THREAD_CPUTIME_ID) - play->computed;
    play->longest         = fmax(play->longest, lasted);
    play->most            = fmax(play->most, computed);
    play->waited =
      play->waited || computed > too_long || (lasted > too_long && sleeps() > play->slept);
  }
}

static void
roll(RlHost *const h)
{
  static const float   bpm = 120, speed = 1, bpb = 4, beat = 0;
  static const int32_t unit  = 4;
  static const int64_t start = 0;
  const RlHostPosition now   = {&start, &start, &speed, &beat, &bpb, &bpm, NULL, &unit};
  rl_host_send_position(h, 0, &now);
}

static void
chart_send(RlHost *const h, const bool large)
{
  static char text[16385];
  static char notes[16000];
  memset(notes, 'x', sizeof(notes) - 1);
  snprintf(text, sizeof(text),
           large ? "key: G\nmeter: 8/4\nwords: %s\n| Imaj7 ii7 iii7 IV7 V7 vi7 VIIdim7 bVII13 |\n"
                 : "key: G\nwords: %.3s\n| I7 | IV7 |\n",
           notes);
  rl_host_send_text(h, 0, "urn:reedlamp:chart", LV2_ATOM__String, text);
}

/* Notes at once, a rest and quick ones in bar 1; a comment makes it long. */
static void
plan_send(RlHost *const h)
{
  static char text[16385];
  static char notes[15900];
  memset(notes, 'x', sizeof(notes) - 1);
  snprintf(text, sizeof(text),
           "bar 1: Rope on the Bollard\n# %s\n\n"
           "X:1\nT:Rope on the Bollard\nM:4/4\nL:1/8\nK:G\n\"G7\"[GB]2 z d/d/ G4|\n",
           notes);
  rl_host_send_text(h, 0, "urn:reedlamp:plan", LV2_ATOM__String, text);
}

/* The player: the phrase's d in every first second of four, and silence. */
static void
reed_play(RlHost *const h, const int64_t block)
{
  enum { BLOCKS = RATE / BLOCK };
  static float        second[BLOCKS * BLOCK];
  static const size_t bytes = BLOCK * sizeof(float);
  float *const        in    = rl_host_audio(h, "in_left");
  if (!block) {
    reed_add(second, BLOCKS * BLOCK, RATE, 0.76, 0.97, 74);
  }
  memset(in, 0, bytes);
  if (block / BLOCKS % 4 == 0) {
    memcpy(in, second + block % BLOCKS * BLOCK, bytes);
  }
}

static void
moves(RlHost *const h, const int64_t block)
{
  const int64_t each = RATE / BLOCK;
  if (block % (3 * each) == 0) {
    rl_host_set(h, "harp_key", (float)(block / (3 * each) * 5 % 12));
    rl_host_set(h, "tuning", (float)(block / (3 * each) % 6));
  }
  rl_host_set(h, "clock", block / each % 4 == 1 ? 2 : 0); /* by ear */
  rl_host_set(h, "harp_from", block / each % 4 != 1 ? 2 : 0);
  reed_play(h, block);
  if (block && block % (5 * each) == 0) {
    chart_send(h, block / (5 * each) % 2);
  }
}

static void
rest_until(const double due)
{
  const double          left  = due - seconds(CLOCK_MONOTONIC);
  const struct timespec pause = {(time_t)left, (long)((left - floor(left)) * 1e9)};
  if (left > 0) {
    nanosleep(&pause, NULL);
  }
}

static void
play_on(Play *const play, const int64_t blocks, const bool keep)
{
  const double start = seconds(CLOCK_MONOTONIC);
  for (int64_t i = 0; i < blocks; ++i) {
    play->frame = i * BLOCK;
    if (!keep) {
      moves(play->host, i);
    }
    rl_host_run(play->host, BLOCK);
    rest_until(start + (double)(i + 1) * BLOCK / RATE);
  }
}

int
main(const int argc, char **const argv)
{
  if (argc < 4) {
    fputs("usage: send BUNDLES OSC_TO SECONDS [KEEP]\n", stderr);
    return EXIT_FAILURE;
  }
  const RlHostChoice choice = {argv[1], "urn:reedlamp:plugin", RATE, BLOCK, RL_HOST_THREADED, false,
                               0};
  Play               play   = {.host = rl_host_open(&choice)};
  if (!play.host) {
    return EXIT_FAILURE;
  }
  play.set      = rl_host_map(play.host, LV2_PATCH__Set);
  play.property = rl_host_map(play.host, LV2_PATCH__property);
  play.value    = rl_host_map(play.host, LV2_PATCH__value);
  play.problem  = rl_host_map(play.host, "urn:reedlamp:problem");
  rl_host_listen(play.host, heard, &play);
  rl_host_around(play.host, around, &play);
  rl_host_activate(play.host);
  rl_host_send_text(play.host, 0, "urn:reedlamp:osc_to", LV2_ATOM__String, argv[2]);
  rl_host_set(play.host, "send_osc", 1);
  plan_send(play.host);
  roll(play.host);
  play_on(&play, atoi(argv[3]) * (int64_t)RATE / BLOCK, argc > 4);
  rl_host_close(play.host);
  printf("longest run(): %.3f ms, %.3f ms of computing\n", 1e3 * play.longest, 1e3 * play.most);
  return play.waited ? EXIT_FAILURE : EXIT_SUCCESS;
}
