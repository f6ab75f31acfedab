/* SPDX-License-Identifier: ISC */
/* A JACK timebase master for tests: says bars and beats by exact arithmetic, and does by script
   what transports do.

     timebase SEGMENT... lines COUNT
        prints the frames of bars 0..COUNT-1, sixteenth by sixteenth of a bar
     timebase SEGMENT... do STEP...
        says "ready" when the server answers, "done" after the last step; stays until its input ends

   SEGMENT  BAR:N:D:BPM[:BPM_AT_END]   from this bar (from 0) on, until the next; on a ramp the
            tempo moves evenly in time. Tempi count beats of the meter's unit; with a q behind D,
            quarters.
   STEP     take | leave               become master | be it no more
            wait PATTERN               until such a port exists
            roll | stop | locate FRAME | sleep SECONDS
            until FRAME                of the transport, rolling forwards
            nonsense K                 0 none, 1 a bar far below 0, 2 all zero, 3 meter and tempo
                                       no numbers, 4 beyond all bounds

   JACK_DEFAULT_SERVER says which server. */
#include "client.h"

#include <jack/transport.h>

#include <limits.h>
#include <math.h>
#include <stdatomic.h>
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>
#include <unistd.h>

enum { MOST = 32, TICKS = 1920, PATIENCE = 30 /* seconds */ };

typedef struct {
  double bar, beats, unit; /* from this bar; beats in a bar */
  double bpm, bpm_end;     /* in beats of the unit */
  double told;             /* beats of the tempo as told in each of the unit */
  double frame, length;    /* where it begins, how long it lasts; HUGE_VAL: the last */
} Segment;

static double     rate = 48000;
static Segment    segment[MOST];
static int        segments;
static atomic_int nonsense;

/* ---- arithmetic ---- */

static bool
segment_read(const char *text)
{
  Segment s        = {0};
  char    quarters = 0;
  int fields = sscanf(text, "%lf:%lf:%lf:%lf:%lf", &s.bar, &s.beats, &s.unit, &s.bpm, &s.bpm_end);
  if (fields == 3) {
    fields = sscanf(text, "%lf:%lf:%lf%c:%lf:%lf", &s.bar, &s.beats, &s.unit, &quarters, &s.bpm,
                    &s.bpm_end) -
             1;
  }
  if (fields < 4 || segments == MOST || (quarters && quarters != 'q')) {
    return false;
  }
  s.told              = quarters ? 4 / s.unit : 1;
  s.bpm_end           = fields > 4 ? s.bpm_end / s.told : s.bpm / s.told;
  s.bpm               = s.bpm / s.told;
  segment[segments++] = s;
  return true;
}

static void
segments_lay(void)
{
  double frame = 0;
  for (int i = 0; i < segments; i++) {
    Segment *s = &segment[i];
    s->frame   = frame;
    s->length  = HUGE_VAL;
    if (i + 1 < segments) {
      const double beats = (segment[i + 1].bar - s->bar) * s->beats;
      s->length          = beats / ((s->bpm + s->bpm_end) / 2) * 60 * rate;
    }
    frame += s->length;
  }
}

/* How much the tempo grows with each frame. */
static double
slope(const Segment *s)
{
  return isinf(s->length) ? 0 : (s->bpm_end - s->bpm) / s->length;
}

/* Beats so many frames after the segment began. */
static double
beats_in(const Segment *s, double frames)
{
  return (s->bpm + slope(s) * frames / 2) * frames / (60 * rate);
}

static double
frames_for(const Segment *s, double beats)
{
  const double b = beats * 60 * rate, k = slope(s);
  return k == 0 ? b / s->bpm : (sqrt(s->bpm * s->bpm + 2 * k * b) - s->bpm) / k;
}

static const Segment *
segment_at(double frame)
{
  int i = segments - 1;
  while (i > 0 && segment[i].frame > frame + 1e-6) {
    i--;
  }
  return &segment[i];
}

static double
bar_frame(double bar)
{
  int i = segments - 1;
  while (i > 0 && segment[i].bar > bar) {
    i--;
  }
  return segment[i].frame + frames_for(&segment[i], (bar - segment[i].bar) * segment[i].beats);
}

/* ---- what the master says ---- */

static void
nonsense_fill(jack_position_t *p, int kind)
{
  if (kind == 1) {
    p->bar  = INT_MIN;
    p->beat = INT_MIN;
    p->tick = -1;
  } else if (kind == 2) {
    p->bar = p->beat = p->tick = 0;
    p->beats_per_bar = p->beat_type = 0;
    p->beats_per_minute = p->ticks_per_beat = 0;
  } else if (kind == 3) {
    p->beats_per_bar = p->beat_type = NAN;
    p->beats_per_minute             = (double)NAN;
  } else if (kind == 4) {
    p->bar = p->beat    = INT_MAX;
    p->beats_per_bar    = 1e30F;
    p->beats_per_minute = -5;
  }
}

static void
fill(jack_transport_state_t state, jack_nframes_t frames, jack_position_t *p, int fresh, void *arg)
{
  (void)state;
  (void)frames;
  (void)fresh;
  (void)arg;
  const Segment *s     = segment_at(p->frame);
  const double   into  = p->frame - s->frame;
  const double   all   = beats_in(s, into) + 1e-9; /* a beat due on this frame is on it */
  const double   bars  = floor(all / s->beats);
  const double   beats = all - bars * s->beats;
  p->valid             = JackPositionBBT;
  p->beats_per_bar     = (float)s->beats;
  p->beat_type         = (float)s->unit;
  p->ticks_per_beat    = TICKS;
  p->beats_per_minute  = (s->bpm + slope(s) * into) * s->told;
  p->bar               = (int)(s->bar + bars) + 1;
  p->beat              = (int)floor(beats) + 1;
  p->tick              = (int)((beats - floor(beats)) * TICKS);
  p->bar_start_tick    = (s->bar + bars) * s->beats * TICKS;
  nonsense_fill(p, atomic_load(&nonsense));
}

/* ---- steps ---- */

static void
nap(double seconds)
{
  const struct timespec t = {(time_t)seconds, (long)((seconds - floor(seconds)) * 1e9)};
  nanosleep(&t, NULL);
}

static bool
port_exists(jack_client_t *j, const char *pattern)
{
  const char **ports = jack_get_ports(j, pattern, NULL, 0);
  jack_free(ports);
  return ports != NULL;
}

/* At the beginning of the cycle: JACK's own guess of the present frame runs away on a busy machine.
 */
static double
frame_now(jack_client_t *j)
{
  jack_position_t position;
  jack_transport_query(j, &position);
  return position.frame;
}

static bool
frame_passed(jack_client_t *j, const char *frame)
{
  return frame_now(j) >= atof(frame);
}

static bool
frame_near(jack_client_t *j, const char *frame)
{
  return fabs(frame_now(j) - atof(frame)) < rate / 2;
}

static bool
await(bool (*done)(jack_client_t *, const char *), jack_client_t *j, const char *value)
{
  for (int look = 0; look < 100 * PATIENCE; ++look) {
    if (done(j, value)) {
      return true;
    }
    nap(0.01);
  }
  return false;
}

/* Does one step; returns how many words it was, 0 if it failed. */
static int
step(jack_client_t *j, const char *word, const char *value)
{
  if (!strcmp(word, "take")) {
    return jack_set_timebase_callback(j, 0, fill, NULL) ? 0 : 1;
  }
  if (!strcmp(word, "leave")) {
    return jack_release_timebase(j) ? 0 : 1;
  }
  if (!strcmp(word, "roll")) {
    jack_transport_start(j);
    return 1;
  }
  if (!strcmp(word, "stop")) {
    jack_transport_stop(j);
    return 1;
  }
  if (!value) {
    return 0;
  }
  if (!strcmp(word, "sleep")) {
    nap(atof(value));
    return 2;
  }
  if (!strcmp(word, "nonsense")) {
    atomic_store(&nonsense, atoi(value));
    return 2;
  }
  if (!strcmp(word, "locate")) {
    return !jack_transport_locate(j, (jack_nframes_t)atol(value)) && await(frame_near, j, value)
             ? 2
             : 0;
  }
  if (!strcmp(word, "wait")) {
    return await(port_exists, j, value) ? 2 : 0;
  }
  return !strcmp(word, "until") && await(frame_passed, j, value) ? 2 : 0;
}

static int
perform(char **steps)
{
  char name[32]; /* unlike that of any client of any server on this machine: JACK mixes them up */
  snprintf(name, sizeof(name), "timebase-%ld", (long)getpid());
  jack_client_t *const j = client_open(name);
  if (!j) {
    fprintf(stderr, "timebase: no JACK server\n");
    return 1;
  }
  rate = jack_get_sample_rate(j);
  segments_lay();
  jack_activate(j);
  client_say("ready");
  int words = 1;
  for (; *steps && words; steps += words) {
    words = step(j, steps[0], steps[1]);
    if (!words) {
      fprintf(stderr, "timebase: %s failed\n", steps[0]);
      break;
    }
  }
  if (words) {
    client_say("done");
    while (getchar() != EOF) {
    }
  }
  jack_client_close(j);
  return words ? 0 : 1;
}

int
main(int argc, char **argv)
{
  int at = 1;
  while (at < argc && segment_read(argv[at])) {
    at++;
  }
  segments_lay();
  if (segments && at + 1 < argc && !strcmp(argv[at], "do")) {
    return perform(argv + at + 1);
  }
  if (!segments || at + 1 >= argc || strcmp(argv[at], "lines") != 0) {
    fprintf(stderr, "timebase: see the head of timebase.c\n");
    return 2;
  }
  for (int n = 0; n < atoi(argv[at + 1]) * 16; n++) {
    printf("%.4f %.3f\n", n / 16.0, bar_frame(n / 16.0));
  }
  return 0;
}
