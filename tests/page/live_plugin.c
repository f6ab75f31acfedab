/* SPDX-License-Identifier: ISC */
/* The plugin itself in the embedded host, in real time, sending OSC to a page server: what the
   tests of the page listen to.

     live_plugin CHART PORT [harp=KEY] [tempo=N] [to=ADDRESS] [delay=MS] [plan=FILE]

   RL_BUNDLES names the folder of bundles. The transport counts 4/4 at `tempo` quarters a minute,
   and the chart's bars lie along its beats. With `delay`, packets go through a relay here that
   holds each up to so many milliseconds, as a bad network does. Whenever the plugin says where the
   music is, a line of JSON says so with the wall-clock time of its frame. Lines on standard input:
   `stop`, `roll`, `chorus N`, `bar N` (of the present chorus), `loop N M` (those bars of it; N
   beyond M: none), `off` and `on` (send_osc), `mute` (the relay drops everything; once more: no
   longer), `plan FILE` and `plan` (none), `reed N M` (sounds of these pitches, MIDI numbers and
   parts of them, on the track, where the player is heard; 0: none), `deaf` (it is not heard), `show
   N`, `practice LINE`, `choruses FILE` (such lines), `quit`. A line says too when other holes are
   heard. At the end standard error says the longest run().
 */
#define _GNU_SOURCE

#include "core/arrange/plan.h"
#include "plugin/host/host.h"
#include "plugin/protocol/uris.h"

#include <lv2/atom/atom.h>
#include <lv2/atom/util.h>

#include <arpa/inet.h>
#include <math.h>
#include <poll.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/socket.h>
#include <time.h>
#include <unistd.h>

enum { RATE = 48000, BLOCK = 256, PACKET = 1500, LATE = 512, WARM_UP = 20 /* blocks */, REEDS = 2 };

static const double held_up_max = 0.1; /* seconds */

typedef struct {
  double  due; /* on the wall clock */
  size_t  size;
  uint8_t bytes[PACKET];
} Late;

/* Between the plugin and the server, where the network is to be bad. */
typedef struct {
  int    in, out;
  double delay; /* seconds at most; below 0: there is no relay */
  bool   mute;
  int    count;
  Late   late[LATE];
} Relay;

/* A reed on the track. */
typedef struct {
  double pitch; /* MIDI, parts of a number too; 0: none, or it is ending */
  double last;  /* the same before it ended */
  double turn, loud;
} Reed;

static struct {
  RlForm  form;
  RlHost *host;
  RlUris  uris;
  int     chorus;   /* reported last */
  double  tempo;    /* quarters a minute */
  int64_t frame;    /* of the transport */
  int64_t from, to; /* a loop of it; alike: none */
  bool    rolling, on, quit;
  Reed    reed[REEDS];
  double  began, longest; /* run(): seconds on the wall clock, and seconds */
  Relay   relay;
} live = {.relay = {.delay = -1}};

static double
seconds(const clockid_t clock)
{
  struct timespec t;
  clock_gettime(clock, &t);
  return (double)t.tv_sec + (double)t.tv_nsec * 1e-9;
}

/* ---- the relay ---- */

static bool
relay_open(Relay *const r, const struct sockaddr_in *const to, struct sockaddr_in *const own)
{
  socklen_t length = sizeof(*own);
  *own   = (struct sockaddr_in){.sin_family = AF_INET, .sin_addr.s_addr = htonl(INADDR_LOOPBACK)};
  r->in  = socket(AF_INET, SOCK_DGRAM | SOCK_NONBLOCK, 0);
  r->out = socket(AF_INET, SOCK_DGRAM, 0);
  return !bind(r->in, (struct sockaddr *)own, sizeof(*own)) &&
         !getsockname(r->in, (struct sockaddr *)own, &length) &&
         !connect(r->out, (const struct sockaddr *)to, sizeof(*to));
}

/* Receives what came in, and sends what was held long enough. */
static void
relay_run(Relay *const r)
{
  const double now = seconds(CLOCK_REALTIME);
  while (r->count < LATE) {
    Late *const   l    = &r->late[r->count];
    const ssize_t size = recv(r->in, l->bytes, PACKET, 0);
    if (size < 0) {
      break;
    }
    l->size = (size_t)size;
    l->due  = now + r->delay * (rand() % 1000) / 1000;
    r->count += !r->mute;
  }
  for (int i = 0; i < r->count;) {
    if (r->late[i].due <= now) {
      send(r->out, r->late[i].bytes, r->late[i].size, 0);
      r->late[i] = r->late[--r->count];
    } else {
      ++i;
    }
  }
}

/* ---- what the plugin says ---- */

static int32_t
whole(const LV2_Atom *const atom)
{
  return atom ? ((const LV2_Atom_Int *)atom)->body : 0;
}

static const char *
words(const LV2_Atom *const atom)
{
  return atom ? (const char *)LV2_ATOM_BODY_CONST(atom) : "";
}

/* The holes heard, if they are others than before. */
static void
heard_print(const int64_t frame, const LV2_Atom_Object *const played)
{
  static char     before[64] = "[]";
  char            now[64];
  size_t          used  = 0;
  const LV2_Atom *holes = NULL, *techniques = NULL;
  lv2_atom_object_get(played, live.uris.rl_holes, &holes, live.uris.rl_techniques, &techniques, 0);
  const int32_t *const hole  = (const int32_t *)((const LV2_Atom_Vector *)holes + 1);
  const int32_t *const how   = (const int32_t *)((const LV2_Atom_Vector *)techniques + 1);
  const size_t         count = (holes->size - sizeof(LV2_Atom_Vector_Body)) / sizeof(int32_t);
  used += (size_t)snprintf(now, sizeof(now), "[");
  for (size_t i = 0; i < count; ++i) {
    used +=
      (size_t)snprintf(now + used, sizeof(now) - used, "%s[%d,%d]", i ? "," : "", hole[i], how[i]);
  }
  snprintf(now + used, sizeof(now) - used, "]");
  if (strcmp(now, before) != 0) {
    printf("{\"at\":%.3f,\"heard\":%s}\n", (live.began + (double)frame / RATE) * 1000, now);
    fflush(stdout);
    strcpy(before, now); // NOLINT(clang-analyzer-security.insecureAPI.strcpy): as large
  }
}

static void
place_print(void *const data, const char *const symbol, const int64_t frame,
            const LV2_Atom *const atom)
{
  const LV2_Atom_Object *const place  = (const LV2_Atom_Object *)atom;
  const RlUris *const          u      = &live.uris;
  const LV2_Atom              *chorus = NULL, *bar = NULL, *beat = NULL, *now = NULL, *next = NULL,
                 *rolls = NULL;
  (void)data;
  (void)symbol;
  if (place->body.otype == u->rl_Played) {
    heard_print(frame, place);
  }
  if (!live.on || place->body.otype != u->rl_Place) {
    return;
  }
  lv2_atom_object_get(place, u->rl_chorus, &chorus, u->rl_bar, &bar, u->rl_beat, &beat, u->rl_now,
                      &now, u->rl_next, &next, u->rl_rolling, &rolls, 0);
  live.chorus = whole(chorus);
  printf("{\"at\":%.3f,\"chorus\":%d,\"bar\":%d,\"beat\":%.3f,\"now\":\"%s\",\"next\":\"%s\","
         "\"rolling\":%s}\n",
         (live.began + (double)frame / RATE) * 1000, whole(chorus), whole(bar),
         beat ? (double)((const LV2_Atom_Float *)beat)->body : 0, words(now), words(next),
         whole(rolls) ? "true" : "false");
  fflush(stdout);
}

static void
run_time(void *const data, const bool before)
{
  (void)data;
  if (before) {
    live.began = seconds(CLOCK_REALTIME);
  } else {
    live.longest = fmax(live.longest, seconds(CLOCK_REALTIME) - live.began);
  }
}

/* ---- playing ---- */

/* Eight partials that fall 4 dB an octave; it comes and goes in 15 ms. */
static void
reed_add(Reed *const r, float *const to)
{
  const double step  = 440.0 / RATE * pow(2, ((r->pitch > 0 ? r->pitch : r->last) - 69) / 12);
  const double rises = 1.0 / (0.015 * RATE);
  r->last            = r->pitch > 0 ? r->pitch : r->last;
  for (int i = 0; i < BLOCK && (r->pitch > 0 || r->loud > 0); ++i) {
    r->loud = fmin(1, fmax(0, r->loud + (r->pitch > 0 ? rises : -rises)));
    r->turn = fmod(r->turn + step, 1);
    for (int n = 1; n <= 8; ++n) {
      to[i] +=
        (float)(0.06 * r->loud * pow(n, -0.66) * sin(6.283185307179586 * n * r->turn + n * n));
    }
  }
}

static void
sound_make(void)
{
  float *const left = rl_host_audio(live.host, "in_left");
  memset(left, 0, BLOCK * sizeof(float));
  for (int i = 0; i < REEDS; ++i) {
    reed_add(&live.reed[i], left);
  }
  memcpy(rl_host_audio(live.host, "in_right"), left, BLOCK * sizeof(float));
}

static void
block_run(void)
{
  const double         beat    = (double)live.frame / RATE * live.tempo / 60;
  const int64_t        bar     = (int64_t)floor(beat / 4);
  const float          in_bar  = (float)(beat - 4 * (double)bar);
  const float          speed   = live.rolling ? 1 : 0;
  const float          tempo   = (float)live.tempo;
  static const float   beats   = 4;
  static const int32_t quarter = 4;
  rl_host_send_position(
    live.host, 0,
    &(RlHostPosition){&live.frame, &bar, &speed, &in_bar, &beats, &tempo, NULL, &quarter});
  sound_make();
  rl_host_run(live.host, BLOCK);
  live.frame += live.rolling ? BLOCK : 0;
  if (live.to > live.from && live.frame >= live.to && live.frame < live.to + BLOCK) {
    live.frame -= live.to - live.from; /* at the head of the block after, as some hosts do */
  }
}

/* Where a bar of a chorus begins, both from 1. */
static int64_t
frame_of(const int chorus, const int bar)
{
  const double *const starts   = live.form.starts[RL_AXIS_QUARTERS];
  const double        quarters = rl_form_lead_in(&live.form, RL_AXIS_QUARTERS) +
                          (chorus - 1) * starts[live.form.bars] + starts[bar - 1];
  return (int64_t)ceil(quarters * 60 / live.tempo * RATE);
}

/* Sends a plan or choruses; of no file, an empty text. */
static void
text_send(const char *const property, const char *const file)
{
  static char  text[RL_PLAN_MAX + 1];
  FILE *const  from   = *file ? fopen(file, "rb") : NULL;
  const size_t length = from ? fread(text, 1, RL_PLAN_MAX, from) : 0;
  if (from) {
    fclose(from);
  }
  text[length] = '\0';
  rl_host_send_text(live.host, 0, property, LV2_ATOM__String, text);
}

static void
command_run(const char *const line)
{
  const int chorus = live.chorus > 0 ? live.chorus : 1;
  int       n = 0, last = 0;
  if (!strcmp(line, "stop") || !strcmp(line, "roll")) {
    live.rolling = line[0] == 'r';
  } else if (!strcmp(line, "off") || !strcmp(line, "on")) {
    live.on = line[1] == 'n';
    rl_host_set(live.host, "send_osc", live.on);
  } else if (sscanf(line, "chorus %d", &n) == 1 && n > 0) {
    live.frame = frame_of(n, 1);
  } else if (sscanf(line, "bar %d", &n) == 1 && n > 0 && n <= live.form.bars) {
    live.frame = frame_of(chorus, n);
  } else if (sscanf(line, "loop %d %d", &n, &last) == 2 && n > 0 && last <= live.form.bars) {
    live.from = frame_of(chorus, n);
    live.to   = n > last ? live.from : frame_of(chorus, last + 1);
  } else if (!strncmp(line, "plan", 4)) {
    text_send("urn:reedlamp:plan", line + strspn(line + 4, " ") + 4);
  } else if (!strncmp(line, "choruses ", 9)) {
    text_send("urn:reedlamp:practice", line + 9);
  } else if (!strncmp(line, "reed ", 5)) {
    live.reed[0].pitch = live.reed[1].pitch = 0;
    sscanf(line, "reed %lf %lf", &live.reed[0].pitch, &live.reed[1].pitch);
    rl_host_set(live.host, "harp_from", 2);
  } else if (sscanf(line, "show %d", &n) == 1) {
    rl_host_set(live.host, "show", (float)n);
  } else if (!strncmp(line, "practice ", 9)) {
    rl_host_send_text(live.host, 0, "urn:reedlamp:practice", LV2_ATOM__String, line + 9);
  } else if (!strcmp(line, "deaf")) {
    rl_host_set(live.host, "harp_from", 0);
  } else if (!strcmp(line, "mute")) {
    live.relay.mute = !live.relay.mute;
  }
  live.quit = live.quit || !strcmp(line, "quit");
}

static void
commands_read(void)
{
  static char   text[256];
  static size_t have;
  const ssize_t got = read(STDIN_FILENO, text + have, sizeof(text) - 1 - have);
  live.quit         = got <= 0;
  have += got > 0 ? (size_t)got : 0;
  text[have] = '\0';
  for (char *end; (end = strchr(text, '\n'));) {
    *end = '\0';
    command_run(text);
    have = strlen(end + 1);
    memmove(text, end + 1, have + 1);
  }
}

/* Runs each block when it is due, as a sound card asks for it. What is missed while the machine is
   held up is not made up for. */
static void
play(void)
{
  struct pollfd on[] = {{STDIN_FILENO, POLLIN, 0}, {live.relay.in, POLLIN, 0}};
  double        due  = seconds(CLOCK_MONOTONIC);
  for (int blocks = 0; !live.quit; ++blocks) {
    if (blocks == WARM_UP) { /* by now the chart has been read */
      command_run("on");
    }
    block_run();
    due += (double)BLOCK / RATE;
    if (seconds(CLOCK_MONOTONIC) - due > held_up_max) {
      due = seconds(CLOCK_MONOTONIC);
    }
    for (double left; (left = due - seconds(CLOCK_MONOTONIC)) > 0;) {
      const struct timespec most = {0, (long)(left * 1e9)};
      if (ppoll(on, live.relay.delay < 0 ? 1 : 2, &most, NULL) > 0 && on[0].revents) {
        commands_read();
      }
      if (live.relay.delay >= 0) {
        relay_run(&live.relay);
      }
    }
  }
}

/* ---- beginning ---- */

static LV2_URID
map_uri(LV2_URID_Map_Handle host, const char *const uri)
{
  return rl_host_map((RlHost *)host, uri);
}

static bool
chart_load(const char *const file)
{
  static char  text[RL_CHART_MAX + 1];
  RlChartError error;
  FILE *const  from   = fopen(file, "rb");
  const size_t length = from ? fread(text, 1, sizeof(text), from) : 0;
  if (from) {
    fclose(from);
  }
  return length && rl_chart_read((RlSlice){text, length}, &live.form, &error);
}

static bool
host_start(const int harp, const struct sockaddr_in *const to)
{
  const char *const  bundles = getenv("RL_BUNDLES");
  const RlHostChoice choice  = {bundles, RL_PLUGIN_URI, RATE, BLOCK, RL_HOST_THREADED, false, 0};
  char               address[64];
  live.host = bundles ? rl_host_open(&choice) : NULL;
  if (!live.host) {
    return false;
  }
  snprintf(address, sizeof(address), "%s:%d", inet_ntoa(to->sin_addr), ntohs(to->sin_port));
  rl_uris_map(&live.uris, &(LV2_URID_Map){live.host, map_uri}, RL_PLUGIN_URI);
  rl_host_listen(live.host, place_print, NULL);
  rl_host_around(live.host, run_time, NULL);
  rl_host_activate(live.host);
  rl_host_set(live.host, "count_by", 1);
  rl_host_set(live.host, "harp_key", (float)harp);
  rl_host_send_text(live.host, 0, "urn:reedlamp:osc_to", LV2_ATOM__String, address);
  rl_host_send_text(live.host, 0, "urn:reedlamp:chart", LV2_ATOM__String, live.form.text);
  return true;
}

int
main(const int count, char **const arguments)
{
  struct sockaddr_in to   = {.sin_family = AF_INET, .sin_addr.s_addr = htonl(INADDR_LOOPBACK)};
  struct sockaddr_in own  = {0};
  const char        *plan = "";
  int                harp = 0;
  if (count < 3 || !chart_load(arguments[1])) {
    fputs(
      "usage: live_plugin CHART PORT [harp=KEY] [tempo=N] [to=ADDRESS] [delay=MS] [plan=FILE]\n",
      stderr);
    return EXIT_FAILURE;
  }
  to.sin_port = htons((uint16_t)atoi(arguments[2]));
  live.tempo  = live.form.tempo > 0 ? live.form.tempo : 120;
  for (int i = 3; i < count; ++i) {
    int n = 0;
    if (sscanf(arguments[i], "harp=%d", &n) == 1) {
      harp = n;
    } else if (sscanf(arguments[i], "delay=%d", &n) == 1) {
      live.relay.delay = n / 1000.0;
    } else if (sscanf(arguments[i], "tempo=%d", &n) == 1) {
      live.tempo = n;
    } else if (!strncmp(arguments[i], "plan=", 5)) {
      plan = arguments[i] + 5;
    } else if (!strncmp(arguments[i], "to=", 3)) {
      inet_pton(AF_INET, arguments[i] + 3, &to.sin_addr);
    }
  }
  if (live.relay.delay >= 0 && !relay_open(&live.relay, &to, &own)) {
    perror("live_plugin");
    return EXIT_FAILURE;
  }
  if (!host_start(harp, live.relay.delay >= 0 ? &own : &to)) {
    return EXIT_FAILURE;
  }
  text_send("urn:reedlamp:plan", plan);
  play();
  rl_host_close(live.host);
  fprintf(stderr, "longest run(): %.3f ms\n", 1e3 * live.longest);
  return EXIT_SUCCESS;
}
