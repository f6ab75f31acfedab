/* SPDX-License-Identifier: ISC */
/* What a host lacks, and what does not work without it: a line each in the host's log, or on stderr
   where it has none. Any thread but the audio thread's. */
#ifndef RL_PLUGIN_LV2_LOG_H
#define RL_PLUGIN_LV2_LOG_H

#include <lv2/log/logger.h>

#include <stdbool.h>

/** Features that the host may lack. */
void rl_log_missing(LV2_Log_Logger *log, bool maps, bool works);

/** Ports left unplugged, as rl_processor_unplugged() has them. */
void rl_log_unplugged(LV2_Log_Logger *log, uint32_t ports);

#endif
