/* SPDX-License-Identifier: ISC */
/* Runs the plugin through everything that can happen, the guard awake inside run() alone. Usage:
     LD_PRELOAD=rt_guard.so rt_run BUNDLES          the scene; before it the guard is made to bark
     LD_PRELOAD=rt_guard.so rt_run BUNDLES plant    the scene with a malloc where none may be: the
   guard must abort */
#define _GNU_SOURCE
#include "plugin/host/host.h"

#include <lv2/atom/atom.h>

#include <fcntl.h>
#include <math.h>
#include <pthread.h>
#include <semaphore.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/socket.h>
#include <sys/wait.h>
#include <time.h>
#include <unistd.h>

enum { RATE = 48000, BLOCK = 256, BLOCKS = 6000 };

/* Of the guard; weak, so that the program also starts without it, to say so. */
void rl_rt_enter(void) __attribute__((weak));
void rl_rt_leave(void) __attribute__((weak));

/* ---- does the guard bark? ---- */

static void *volatile memory;
static volatile ssize_t result;
static pthread_mutex_t  mutex  = PTHREAD_MUTEX_INITIALIZER;
static pthread_rwlock_t rwlock = PTHREAD_RWLOCK_INITIALIZER;
static pthread_cond_t   cond   = PTHREAD_COND_INITIALIZER;
static sem_t            sem;
static char             scratch[64];

static void *
idle(void *const data)
{
  return data;
}

static void
plant_malloc(void)
{
  memory = malloc(1);
}
static void
plant_calloc(void)
{
  memory = calloc(1, 1);
}
static void
plant_realloc(void)
{
  memory = realloc(memory, 100);
}
static void
plant_free(void)
{
  free(memory);
}
static void
plant_memalign(void)
{
  void *at;
  result = posix_memalign(&at, 64, 64);
}
static void
plant_strdup(void)
{
  memory = strdup(scratch);
}
static void
plant_lock(void)
{
  result = pthread_mutex_lock(&mutex);
}
static void
plant_trylock(void)
{
  result = pthread_mutex_trylock(&mutex);
}
static void
plant_rdlock(void)
{
  result = pthread_rwlock_rdlock(&rwlock);
}
static void
plant_wrlock(void)
{
  result = pthread_rwlock_wrlock(&rwlock);
}
static void
plant_cond(void)
{
  result = pthread_cond_signal(&cond);
}
static void
plant_sem(void)
{
  result = sem_wait(&sem);
}
static void
plant_fopen(void)
{
  memory = fopen("/", "r");
}
static void
plant_open(void)
{
  result = open("/", O_RDONLY);
}
static void
plant_openat(void)
{
  result = openat(AT_FDCWD, "/", O_RDONLY);
}
static void
plant_read(void)
{
  result = read(STDIN_FILENO, scratch, 0);
}
static void
plant_write(void)
{
  result = write(STDERR_FILENO, scratch, 0);
}
static void
plant_close(void)
{
  result = close(-1);
}
static void
plant_socket(void)
{
  result = socket(AF_INET, SOCK_DGRAM, 0);
}
static void
plant_connect(void)
{
  result = connect(-1, NULL, 0);
}
static void
plant_sendto(void)
{
  result = sendto(-1, scratch, 1, 0, NULL, 0);
}
static void
plant_printf(void)
{
  result = printf("%d", 4);
}
static void
plant_fprintf(void)
{
  result = fprintf(stderr, "%d", 4);
}
static void
plant_snprintf(void)
{
  result = snprintf(scratch, sizeof(scratch), "%d", (int)result);
}
static void
plant_puts(void)
{
  result = puts(scratch);
}
static void
plant_fputs(void)
{
  result = fputs(scratch, stderr);
}
static void
plant_fwrite(void)
{
  result = (ssize_t)fwrite(scratch, 1, 1, stderr);
}
static void
plant_sleep(void)
{
  result = sleep(0);
}
static void
plant_usleep(void)
{
  result = usleep(1);
}
static void
plant_nanosleep(void)
{
  result = nanosleep(&(struct timespec){0, 1}, NULL);
}
static void
plant_thread(void)
{
  pthread_t t;
  result = pthread_create(&t, NULL, idle, NULL);
}

static const struct {
  const char *name;
  void (*call)(void);
} plants[] = {
  {"malloc", plant_malloc},
  {"calloc", plant_calloc},
  {"realloc", plant_realloc},
  {"free", plant_free},
  {"memalign", plant_memalign},
  {"strdup", plant_strdup},
  {"mutex lock", plant_lock},
  {"trylock", plant_trylock},
  {"rwlock rdlock", plant_rdlock},
  {"rwlock wrlock", plant_wrlock},
  {"cond signal", plant_cond},
  {"sem_wait", plant_sem},
  {"fopen", plant_fopen},
  {"open", plant_open},
  {"openat", plant_openat},
  {"read", plant_read},
  {"write", plant_write},
  {"close", plant_close},
  {"socket", plant_socket},
  {"connect", plant_connect},
  {"sendto", plant_sendto},
  {"printf", plant_printf},
  {"fprintf", plant_fprintf},
  {"snprintf", plant_snprintf},
  {"puts", plant_puts},
  {"fputs", plant_fputs},
  {"fwrite", plant_fwrite},
  {"sleep", plant_sleep},
  {"usleep", plant_usleep},
  {"nanosleep", plant_nanosleep},
  {"pthread_create", plant_thread},
};

/* In a child, which must die of it. */
static bool
barks_at(void (*const call)(void))
{
  int         status = 0;
  const pid_t child  = fork();
  if (!child) {
    const int nowhere = open("/dev/null", O_WRONLY);
    dup2(nowhere, STDERR_FILENO);
    alarm(10);
    rl_rt_enter();
    call();
    _exit(EXIT_SUCCESS);
  }
  return child > 0 && waitpid(child, &status, 0) == child && WIFSIGNALED(status) &&
         WTERMSIG(status) == SIGABRT;
}

static bool
guard_barks(void)
{
  bool all = true;
  memory   = malloc(10);
  sem_init(&sem, 0, 1);
  for (size_t i = 0; i < sizeof(plants) / sizeof(plants[0]); ++i) {
    if (!barks_at(plants[i].call)) {
      fprintf(stderr, "the guard let %s pass\n", plants[i].name);
      all = false;
    }
  }
  return all;
}

/* ---- the scene ---- */

static const char *const charts[] = {
  "key: G\n| I7 | IV7 | I7 V7 |",
  "key: Dm\nmeter: 6/8\nlead-in: 1\nchoruses: 2\n| i7 | iv7 |\n[ending]\n| i |",
  "| H7 |", /* an error */
  "tempo: 90\n|: C7 | N.C. | F7/A :|x40",
};

static const char *const presets[] = {"urn:reedlamp:preset:waltz", "urn:reedlamp:preset:aaba",
                                      "urn:reedlamp:preset:twelve-bar"};

/* What came of it all: a scene in which nothing happens would prove nothing. */
typedef struct {
  bool plant;
  bool freewheels; /* now and then; run() may do as it likes then where the host has no worker */
  bool waits;      /* this block: freewheeling, run() waits for the ear that follows the song */
  unsigned blocks, events, long_events;
  float    last_bar;
  unsigned bars;         /* times form_bar changed */
  unsigned listens;      /* blocks in which it listened */
  unsigned hears, plays; /* blocks in which the player was heard, in which a hole was */
  unsigned sounds;       /* blocks in which something was listened to */
} Play;

static void
around(void *const data, const bool before)
{
  const Play *const play = (const Play *)data;
  if (play->waits) {
    return;
  }
  if (before) {
    rl_rt_enter();
    if (play->plant) {
      void *volatile const planted = malloc(1);
      free(planted);
    }
  } else {
    rl_rt_leave();
  }
}

static void
heard(void *const data, const char *const symbol, const int64_t frame, const LV2_Atom *const atom)
{
  Play *const play = (Play *)data;
  (void)symbol;
  (void)frame;
  ++play->events;
  play->long_events += atom->size > 200;
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
  const RlHostPosition all          = {&frame, &bar, &speed, &beat, &bpb, &bpm, NULL, &unit};
  const RlHostPosition part         = {.frame = &frame, .speed = &speed};
  if (i % 1000 == 999) {
    frame = bar = 0; /* a jump */
  }
  if (phase != 1) {
    rl_host_send_position(h, i % 5 ? 0 : BLOCK / 2, phase == 2 ? &part : &all);
  }
}

static void
messages(RlHost *const h, const int i)
{
  static const char *const texts[] = {"urn:reedlamp:chart", "urn:reedlamp:osc_to",
                                      "urn:reedlamp:problem"};
  if (i % 97 == 0) {
    rl_host_send_text(h, BLOCK - 2, texts[i % 3], LV2_ATOM__String, charts[i / 97 % 4]);
  }
  if (i % 211 == 0) {
    rl_host_send_text(h, BLOCK - 2, "urn:reedlamp:chart_file", LV2_ATOM__Path, "/nowhere/at.chart");
  }
  if (i % 300 == 100) {
    rl_host_send_text(h, BLOCK - 2, "urn:reedlamp:osc_to", LV2_ATOM__String,
                      "127.0.0.1:9911 localhost:9912 nowhere.invalid:9911");
  }
  if (i % 333 == 302) { /* the host stands */
    rl_host_send_text(h, 0, "urn:reedlamp:hear_take", LV2_ATOM__String,
                      i % 2 ? "play:\n\nX:1\nT:a\nM:4/4\nL:1/16\nQ:1/4=120\nK:C\nCE\n"
                            : "play:\nspeed: 1/2\n\nX:1\nT:a\nM:4/4\nL:1/4\nK:C\nCEG\n");
  }
  if (i % 101 == 0) {
    rl_host_send_text(h, BLOCK - 2, "urn:reedlamp:lift", LV2_ATOM__String,
                      i % 202 ? "bars: 1" : "picture: Take 1");
  }
  if (i % 53 == 0) {
    rl_host_send_get(h, BLOCK - 1, NULL);
  }
  if (i % 31 == 0) {
    const uint8_t press[3] = {0xB0, (uint8_t)(80 + i % 5), 127};
    rl_host_send_midi(h, i % 2 ? "midi_in" : "control", BLOCK - 1, press);
  }
}

static void
knobs(RlHost *const h, const int i, const bool freewheels)
{
  rl_host_set(h, "harp_key", (float)(i / 40 % 12));
  rl_host_set(h, "tuning", (float)(i / 60 % 6));
  rl_host_set(h, "song_key", (float)(i / 80 % 14));
  rl_host_set(h, "clock", (float)(i / 500 % 3));
  rl_host_set(h, "harp_from", (float)(i / 190 % 3));
  rl_host_set(h, "capture_from", (float)(i / 210 % 3));
  rl_host_set(h, "half_time", i % 431 == 0);
  rl_host_set(h, "double_time", i % 641 == 0);
  rl_host_set(h, "count_by", (float)(i / 400 % 2));
  rl_host_set(h, "start_bar", i % 450 == 7 ? NAN : (float)(i / 600 % 3));
  rl_host_set(h, "tap", (float)(i / 46 % 2));
  rl_host_set(h, "bar_one", i % 501 == 0);
  rl_host_set(h, "stop", i % 1777 == 0);
  rl_host_set(h, "enabled", i % 1200 < 1000);
  rl_host_set(h, "freewheel", freewheels && i % 1100 > 1000);
  rl_host_set(h, "send_osc", i % 800 > 400);
}

/* A tone on the track, with a break now and then. */
static void
sound(RlHost *const h, const int i)
{
  float *const in   = rl_host_audio(h, "in_left");
  float *const harp = rl_host_audio(h, "harp_in");
  for (int k = 0; k < BLOCK; ++k) {
    harp[k] = 0.1F * sinf((float)(i * BLOCK + k) * 0.06F);
    in[k]   = i % 400 < 300 ? 0.3F * sinf((float)(i * BLOCK + k) * 0.03F) : 0;
  }
}

/* What a person or a host does between blocks. */
static bool
sessions(RlHost *const h, const int i)
{
  bool good = true;
  if (i % 700 == 350) {
    good = rl_host_preset(h, presets[i / 700 % 3]);
  }
  if (i % 900 == 450) {
    char *const saved = rl_host_save(h);
    good              = saved && rl_host_restore(h, saved);
    free(saved);
  }
  if (i % 1500 == 750) {
    rl_host_deactivate(h);
    rl_host_activate(h);
  }
  return good;
}

/* Does anything sound but the track? */
static bool
adds(const float *const in, const float *const out)
{
  int i = 0;
  while (i < BLOCK && in[i] == out[i]) {
    ++i;
  }
  return i < BLOCK;
}

static bool
play_on(RlHost *const h, Play *const play)
{
  bool good = true;
  for (int i = 0; i < BLOCKS && good; ++i) {
    report(h, i, (int64_t)i * BLOCK);
    messages(h, i);
    knobs(h, i, play->freewheels);
    sound(h, i);
    good        = sessions(h, i);
    play->waits = rl_host_get(h, "freewheel") > 0 && rl_host_get(h, "clock") > 1;
    rl_host_run(h, i % 50 ? BLOCK : 0);
    if (i % 200 == 1) {
      rl_host_rest(1); /* another harp: the worker may make its ear */
    }
    ++play->blocks;
    play->bars += rl_host_get(h, "form_bar") != play->last_bar;
    play->last_bar = rl_host_get(h, "form_bar");
    play->listens += rl_host_get(h, "hearing") > 0;
    play->hears += rl_host_get(h, "heard_level") > -120;
    play->plays += rl_host_get(h, "heard_hole") > 0;
    play->sounds += i % 50 && adds(rl_host_audio(h, "in_left"), rl_host_audio(h, "out_left"));
  }
  return good;
}

static int
play_all(const char *const bundles, const char *const uri, const RlHostWorker worker,
         const uint32_t notify_bytes, const bool plant)
{
  const RlHostChoice choice = {bundles, uri, RATE, BLOCK, worker, false, notify_bytes};
  Play               play   = {.plant = plant, .freewheels = worker != RL_HOST_NONE};
  RlHost *const      h      = rl_host_open(&choice);
  if (!h) {
    return EXIT_FAILURE;
  }
  rl_host_around(h, around, &play);
  rl_host_listen(h, heard, &play);
  rl_host_activate(h);
  const bool good = play_on(h, &play);
  rl_host_close(h);
  const bool told = notify_bytes ? !play.events : play.events > 1000 && play.long_events > 1000;
  if (!good || !told || play.bars < 20 || play.listens < 1000 || play.hears < 300 ||
      play.plays < 30 || play.sounds < 30) {
    fprintf(
      stderr,
      "%s: a scene of %u blocks, %u events (%u long ones), %u bars, %u blocks by ear, %u with "
      "the player, %u in which a hole sounds, %u in which something is listened to is none\n",
      uri, play.blocks, play.events, play.long_events, play.bars, play.listens, play.hears,
      play.plays, play.sounds);
    return EXIT_FAILURE;
  }
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
  if (!plant && !guard_barks()) {
    return EXIT_FAILURE;
  }
  return play_all(argv[1], "urn:reedlamp:plugin", RL_HOST_AFTER, 0, plant) ||
         play_all(argv[1], "urn:reedlamp:mono", RL_HOST_THREADED, 0, plant) ||
         play_all(argv[1], "urn:reedlamp:plugin", RL_HOST_THREADED, 64, plant) ||
         play_all(argv[1], "urn:reedlamp:plugin", RL_HOST_NONE, 0, plant);
}
