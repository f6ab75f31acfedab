/* The demo on a screen: the real window over the plugin in the embedded host, in real time, with
   the backing track on the sound card if there is one. */
#ifndef RL_LIVE_H
#define RL_LIVE_H

#include "host.h"

/** What is played. */
typedef struct {
  const char *bundles; /**< the folder that holds reedlamp.lv2 */
  const char *track;   /**< a WAV file, bar 1 on its first sample */
  double      rate;
  uint32_t    block;                      /**< frames in a run() */
  double      frames;                     /**< how long the song is */
  double      beats_per_bar, unit, tempo; /**< of the transport that is told */
} RlLive;

/** Opens the window and plays until the song is over or the window closed. False, and one line on
    stderr, where there is no display or no window. The host is activated, and nobody else listens.
 */
bool live_play(RlHost *host, const RlLive *live);

#endif
