/* SPDX-License-Identifier: ISC */
/* The plugin and its window in the embedded host, in real time, told by lines what to do and
   telling by lines what happens: player BUNDLES TEMPO

     roll | stop           the transport, 4/4
     midi BYTE BYTE BYTE   on midi_in, now
     reed MIDI             a reed on harp_in from now on, at a pitch in MIDI numbers (parts of one
                           too); 0: silence
     get                   patch:Get of everything
     quit                  the end of the input is that too

   Says: ready; set SYMBOL VALUE (by the window); chart TEXT, take TEXT and the like (line ends as
   \n); place CHORUS BAR BEAT; played COUNT HOLE; line BAR SECONDS (a bar line passed run(), on
   CLOCK_MONOTONIC). */
#include "plugin/host/live.h"
#include "plugin/protocol/uris.h"
#include "ui/window/plugin_events.h"

#include <lv2/atom/util.h>

#include <fcntl.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>
#include <unistd.h>

enum { RATE = 48000, BLOCK = 256, IDLES = 30 };

typedef struct {
  RlHost *host;
  RlUris  uris;
  double  block_time; /* when the first frame of this block was due */
  int     bar;
  char    words[256]; /* read, and not yet a whole line */
  size_t  used;
  int64_t frame;       /* of the transport */
  double  reed, phase; /* MIDI number; turns */
  bool    rolling, quit;
} Player;

static double
now(void)
{
  struct timespec t;
  clock_gettime(CLOCK_MONOTONIC, &t);
  return (double)t.tv_sec + 1e-9 * (double)t.tv_nsec;
}

static LV2_URID
map_uri(LV2_URID_Map_Handle host, const char *const uri)
{
  return rl_host_map((RlHost *)host, uri);
}

/* ---- what happens ---- */

static void
set(void *const data, const RlPort port, const float value)
{
  (void)data;
  printf("set %s %g\n", rl_ports[port].symbol, (double)value);
}

static void
text_say(const RlPluginMessage *const m)
{
  printf("%s ", rl_properties[m->which].symbol);
  for (uint32_t i = 0; i < m->length; ++i) {
    fputs(m->text[i] == '\n' ? "\\n" : (char[]){m->text[i], '\0'}, stdout);
  }
  putchar('\n');
}

static void
said(void *const data, const int64_t frame, const LV2_Atom *const atom)
{
  Player *const   p = (Player *)data;
  RlPluginMessage m;
  switch (rl_plugin_event_read(&p->uris, atom, lv2_atom_total_size(atom), &m)) {
  case RL_PLUGIN_EVENT_TEXT:
    text_say(&m);
    break;
  case RL_PLUGIN_EVENT_PLACE:
    printf("place %d %d %.3f\n", m.report.chorus, m.report.bar, m.report.beat);
    if (m.report.bar != p->bar && m.report.rolling) {
      printf("line %d %.6f\n", m.report.bar, p->block_time + (double)frame / RATE);
    }
    p->bar = m.report.bar;
    break;
  case RL_PLUGIN_EVENT_PLAYED:
    printf("played %d %d\n", m.played.count, m.played.count ? m.played.note[0].hole : 0);
    break;
  default:
    break;
  }
}

/* ---- what to do ---- */

static void
obey(Player *const p, const char *const word)
{
  p->frame   = strcmp(word, "roll") ? p->frame : 0;
  p->rolling = !strcmp(word, "roll") || (p->rolling && strcmp(word, "stop") != 0);
  p->quit    = !strcmp(word, "quit");
  unsigned bytes[3];
  if (!strcmp(word, "get")) {
    rl_host_send_get(p->host, 0, NULL);
  } else if (sscanf(word, "reed %lf", &p->reed) == 1) {
    return;
  } else if (sscanf(word, "midi %u %u %u", &bytes[0], &bytes[1], &bytes[2]) == 3) {
    rl_host_send_midi(p->host, "midi_in", 0,
                      (const uint8_t[]){(uint8_t)bytes[0], (uint8_t)bytes[1], (uint8_t)bytes[2]});
  }
}

static void
orders_take(Player *const p)
{
  const ssize_t n = read(STDIN_FILENO, p->words + p->used, sizeof(p->words) - 1 - p->used);
  p->quit         = p->quit || n == 0;
  p->used += n > 0 ? (size_t)n : 0;
  p->words[p->used] = '\0';
  for (char *end; (end = strchr(p->words, '\n'));) {
    *end = '\0';
    obey(p, p->words);
    p->used -= (size_t)(end + 1 - p->words);
    memmove(p->words, end + 1, p->used + 1);
  }
}

/* Eight partials that fall 4 dB an octave. */
static void
reed_play(Player *const p)
{
  float *const in = rl_host_audio(p->host, "harp_in");
  for (int i = 0; i < BLOCK; ++i) {
    p->phase += p->reed > 0 ? 440 * pow(2, (p->reed - 69) / 12) / RATE : 0;
    in[i] = 0;
    for (int n = 1; n <= 8 && p->reed > 0; ++n) {
      in[i] += (float)(0.06 * pow(n, -0.66) * sin(6.283185307179586 * n * p->phase + n * n));
    }
  }
}

/* A block when it is due, as a sound card asks for it; the window 30 times a second in between. */
static void
play(Player *const p, RlLive *const live, const RlTransport *const transport)
{
  const double start = now();
  double       block = start; /* when the next one is due */
  double       idle  = start;
  while (!p->quit) {
    while (block <= now()) {
      p->block_time = now();
      reed_play(p);
      if (transport->tempo > 0) {
        rl_live_run(p->host, transport, p->frame, p->rolling);
      } else {
        rl_host_run(p->host, BLOCK);
      }
      block += (double)BLOCK / RATE;
      p->frame += p->rolling ? BLOCK : 0;
    }
    if (idle <= now()) {
      orders_take(p);
      p->quit = !rl_live_idle(live) || p->quit;
      idle += 1.0 / IDLES;
    }
    const double left = (block < idle ? block : idle) - now();
    nanosleep(&(struct timespec){0, left > 0 ? (long)(left * 1e9) : 0}, NULL);
  }
}

int
main(const int argc, char **const argv)
{
  static Player        p;
  const RlLiveListener listener = {&p, set, said};
  if (argc != 3) {
    fputs("usage: player BUNDLES TEMPO\n", stderr);
    return EXIT_FAILURE;
  }
  const RlHostChoice choice    = {argv[1], RL_PLUGIN_URI, RATE, BLOCK, RL_HOST_AFTER, false, 0};
  const RlTransport  transport = {RATE, BLOCK, 4, 4, atof(argv[2])};
  setvbuf(stdout, NULL, _IOLBF, 0);
  fcntl(STDIN_FILENO, F_SETFL, O_NONBLOCK);
  p.host = rl_host_open(&choice);
  if (!p.host) {
    return EXIT_FAILURE;
  }
  rl_uris_map(&p.uris, &(LV2_URID_Map){p.host, map_uri}, RL_PLUGIN_URI);
  rl_host_activate(p.host);
  RlLive *const live = rl_live_open(p.host, argv[1], &listener);
  if (live) {
    puts("ready");
    play(&p, live, &transport);
    rl_live_close(live);
  }
  rl_host_close(p.host);
  return live ? EXIT_SUCCESS : EXIT_FAILURE;
}
