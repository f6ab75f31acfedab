/* SPDX-License-Identifier: ISC */
/* Private to the reader of MIDI files (smf*.c): what its parts share. */
#ifndef RL_CORE_CAPTURE_SMF_READER_H
#define RL_CORE_CAPTURE_SMF_READER_H

#include "core/capture/smf.h"

enum { RL_SMF_TEMPO_DEFAULT = 500000 }; /* microseconds a quarter: 120 a minute (RP-001) */

/* Notes what is wrong at that byte; always false. */
bool rl_smf_fail(RlSmfError *error, size_t at, const char *reason);

#endif
