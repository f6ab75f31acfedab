/* SPDX-License-Identifier: ISC */
#include "plugin/host/live.h"

#include "plugin/protocol/uris.h"

#include <lv2/atom/util.h>
#include <lv2/ui/ui.h>

#include <dlfcn.h>
#include <errno.h>
#include <math.h>
#include <signal.h>
#include <spawn.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/wait.h>
#include <time.h>
#include <unistd.h>

extern char **environ;

static const double idle_time = 1.0 / 30; /* as often as hosts call a window */

struct RlLive {
  RlHost                     *host;
  RlLiveListener              listener;
  void                       *module;
  const LV2UI_Descriptor     *descriptor;
  const LV2UI_Idle_Interface *idle;
  LV2UI_Handle                window;
  LV2_URID                    event_transfer;
};

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

/* From the window to the plugin. */
static void
write_port(LV2UI_Controller controller, const uint32_t index, const uint32_t size,
           const uint32_t protocol, const void *const buffer)
{
  RlLive *const l    = (RlLive *)controller;
  const RlPort  port = rl_port_at(index, false);
  float         value;
  if (protocol == l->event_transfer && port == RL_PORT_CONTROL) {
    rl_host_send(l->host, rl_ports[port].symbol, 0, (const LV2_Atom *)buffer);
  } else if (protocol == 0 && size == sizeof(value) && port != RL_PORTS) {
    memcpy(&value, buffer, sizeof(value));
    rl_host_set(l->host, rl_ports[port].symbol, value);
    if (l->listener.set) {
      l->listener.set(l->listener.data, port, value);
    }
  }
}

/* From the plugin to the window. */
static void
hear(void *const data, const char *const symbol, const int64_t frame, const LV2_Atom *const atom)
{
  const RlLive *const l = (const RlLive *)data;
  if (!strcmp(symbol, rl_ports[RL_PORT_NOTIFY].symbol)) {
    l->descriptor->port_event(l->window, RL_PORT_NOTIFY, lv2_atom_total_size(atom),
                              l->event_transfer, atom);
    if (l->listener.said) {
      l->listener.said(l->listener.data, frame, atom);
    }
  }
}

/* ---- the window ---- */

static bool
window_open(RlLive *const l, const char *const bundles)
{
  char                     path[4096];
  LV2UI_Widget             widget     = NULL;
  LV2_URID_Map             map        = {l->host, map_uri};
  const LV2_Feature        urid_map   = {LV2_URID__map, &map};
  const LV2_Feature *const features[] = {&urid_map, NULL};
  snprintf(path, sizeof(path), "%s/reedlamp.lv2/reedlamp-ui.so", bundles);
  l->module         = dlopen(path, RTLD_NOW);
  void *const entry = l->module ? dlsym(l->module, "lv2ui_descriptor") : NULL;
  if (!entry) {
    fprintf(stderr, "no window: %s\n", dlerror());
    return false;
  }
  const LV2UI_DescriptorFunction descriptors = *(const LV2UI_DescriptorFunction *)&entry;
  l->descriptor                              = descriptors(0);
  l->event_transfer                          = rl_host_map(l->host, LV2_ATOM__eventTransfer);
  l->idle = (const LV2UI_Idle_Interface *)l->descriptor->extension_data(LV2_UI__idleInterface);
  snprintf(path, sizeof(path), "%s/reedlamp.lv2/", bundles);
  l->window = l->descriptor->instantiate(l->descriptor, RL_PLUGIN_URI, path, write_port, l, &widget,
                                         features);
  return l->window;
}

RlLive *
rl_live_open(RlHost *const host, const char *const bundles, const RlLiveListener *const listener)
{
  RlLive *const l = (RlLive *)calloc(1, sizeof(RlLive));
  if (!l) {
    return NULL;
  }
  l->host     = host;
  l->listener = listener ? *listener : (RlLiveListener){NULL, NULL, NULL};
  if (!window_open(l, bundles)) {
    free(l);
    return NULL;
  }
  rl_host_listen(host, hear, l);
  return l;
}

bool
rl_live_idle(RlLive *const l)
{
  return !l->idle->idle(l->window);
}

void
rl_live_close(RlLive *const l)
{
  rl_host_listen(l->host, NULL, NULL);
  l->descriptor->cleanup(l->window);
  free(l);
}

/* ---- sound ---- */

/* The track on the sound card; 0 where there is no card or nothing to play it with. */
static pid_t
track_start(const char *const track)
{
  char *const arguments[] = {(char[]){"aplay"}, (char[]){"-q"}, strdup(track), NULL};
  pid_t       child       = 0;
  const bool  card        = !access("/dev/snd/controlC0", F_OK);
  if (!card || !arguments[2] || posix_spawnp(&child, "aplay", NULL, NULL, arguments, environ)) {
    child = 0;
  }
  free(arguments[2]);
  return child;
}

static void
track_stop(const pid_t child)
{
  if (child > 0) {
    kill(child, SIGTERM);
    waitpid(child, NULL, 0);
  }
}

/* ---- time ---- */

void
rl_live_run(RlHost *const host, const RlTransport *const t, const int64_t frame, const bool rolling)
{
  const double         beats    = (double)frame / t->rate * t->tempo / 60;
  const int64_t        bar      = (int64_t)floor(beats / t->beats_per_bar);
  const float          beat     = (float)(beats - (double)bar * t->beats_per_bar);
  const float          speed    = rolling ? 1 : 0;
  const float          meter    = (float)t->beats_per_bar;
  const float          tempo    = (float)t->tempo;
  const int32_t        unit     = (int32_t)t->unit;
  const RlHostPosition position = {&frame, &bar, &speed, &beat, &meter, &tempo, NULL, &unit};
  rl_host_send_position(host, 0, &position);
  rl_host_run(host, t->block);
}

static void
nap(const double seconds)
{
  const struct timespec t = {0, (long)(fmax(0, seconds) * 1e9)};
  nanosleep(&t, NULL);
}

void
rl_live_play(RlLive *const l, RlHost *const host, const RlTransport *const transport,
             const double frames, const char *const track)
{
  int64_t frame = 0;
  rl_live_idle(l); /* it is seen before the music begins */
  const pid_t  player = track_start(track);
  const double start  = now();
  puts(player ? "Playing; close the window to stop."
              : "Playing without a sound card; close the window to stop.");
  fflush(stdout);
  for (double next = start; (double)frame < frames + transport->rate; next += idle_time) {
    while ((double)frame < (now() - start) * transport->rate) {
      rl_live_run(host, transport, frame, (double)frame < frames);
      frame += transport->block;
    }
    if (!rl_live_idle(l)) {
      break;
    }
    nap(next + idle_time - now());
  }
  track_stop(player);
}
