/* SPDX-License-Identifier: ISC */
#include "plugin/lv2/log.h"

#include "plugin/protocol/ports.h"

static void
say(LV2_Log_Logger *const log, const char *const what)
{
  lv2_log_warning(log, "Reedlamp: %s\n", what);
}

void
rl_log_missing(LV2_Log_Logger *const log, const bool maps, const bool works)
{
  if (!maps) {
    say(log,
        "this host maps no URIs (urid:map), so it tells no bars, sets no chart and saves none; "
        "sound passes, the twelve-bar can be tapped");
  }
  if (!works) {
    say(log, "this host has no worker (worker:schedule), so charts are read in a thread of the "
             "plugin's own");
  }
}

void
rl_log_unplugged(LV2_Log_Logger *const log, const uint32_t ports)
{
  if (ports & 1U << RL_PORT_CONTROL) {
    say(log, "this host leaves the port \"control\" unconnected, so it tells no bars and sets no "
             "chart; the song can be tapped");
  }
  if (ports & 1U << RL_PORT_NOTIFY) {
    say(log,
        "this host leaves the port \"notify\" unconnected, so nothing shows where the music is");
  }
}
