/* SPDX-License-Identifier: ISC */
/* The real window over the plugin in the embedded host, in real time: for the demo, with the
   backing track on the sound card if there is one, and for tests. One thread. */
#ifndef RL_PLUGIN_HOST_LIVE_H
#define RL_PLUGIN_HOST_LIVE_H

#include "plugin/host/host.h"
#include "plugin/protocol/ports.h"

typedef struct RlLive RlLive;

/** Who hears what goes between window and plugin; both may be NULL. */
typedef struct {
  void *data;
  void (*set)(void *data, RlPort port, float value);             /**< by the window */
  void (*said)(void *data, int64_t frame, const LV2_Atom *atom); /**< on `notify` */
} RlLiveListener;

/** Opens the window of the plugin in `host`, which is activated; `bundles` is the folder that holds
    reedlamp.lv2. NULL, and one line on stderr, where there is no display or no window. */
RlLive *rl_live_open(RlHost *host, const char *bundles, const RlLiveListener *listener);

/** As hosts do 30 times a second. False once the window was closed. */
bool rl_live_idle(RlLive *live);

void rl_live_close(RlLive *live);

/** A steady transport. */
typedef struct {
  double   rate;
  uint32_t block;                      /**< frames in a run() */
  double   beats_per_bar, unit, tempo; /**< beats of the unit a minute */
} RlTransport;

/** Runs one block, `frame` frames after bar 1, rolling or parked there. */
void rl_live_run(RlHost *host, const RlTransport *transport, int64_t frame, bool rolling);

/** Plays `frames` frames in real time with `track`, a WAV file, from the sound card if there is
   one; ends with the song or when the window is closed. */
void rl_live_play(RlLive *live, RlHost *host, const RlTransport *transport, double frames,
                  const char *track);

#endif
