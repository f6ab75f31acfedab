/* SPDX-License-Identifier: ISC */
#include "core/capture/smf_reader.h"

enum { PERCUSSION = 9 }; /* channel 10, counted from 0 */

static bool
note_on(const RlSmfEvent *const e)
{
  return e->kind == RL_SMF_MIDI && e->bytes[0] >> 4 == 0x9 && e->bytes[2] > 0;
}

/* Adds the part that a note belongs to, if it is a new one and there is space; returns how many
   there are. `seen`: the channels of its track that have had notes, as bits. */
static int
part_add(RlSmfPart *const part, const int count, const RlSmfEvent *const e, const RlSlice name,
         uint16_t *const seen)
{
  const uint8_t channel = e->bytes[0] & 0xF;
  if (((unsigned)*seen >> channel & 1U) || channel == PERCUSSION) {
    return count;
  }
  *seen = (uint16_t)((unsigned)*seen | 1U << channel);
  if (count < RL_SMF_PARTS_MAX) {
    part[count] = (RlSmfPart){(uint8_t)e->track, channel, name};
  }
  return count + 1;
}

int
rl_smf_parts(const RlSlice file, RlSmfPart *const part, RlSmfError *const error)
{
  RlSmf      smf;
  RlSmfEvent e;
  RlSlice    name[RL_SMF_TRACKS_MAX] = {{"", 0}};
  uint16_t   seen[RL_SMF_TRACKS_MAX] = {0};
  int        count = 0, more = 0;
  if (!rl_smf_open(&smf, file, error)) {
    return -1;
  }
  while ((more = rl_smf_next(&smf, &e, error)) > 0) {
    if (e.kind == RL_SMF_NAME && !name[e.track].length) {
      name[e.track] = e.text;
    } else if (note_on(&e)) {
      count = part_add(part, count, &e, name[e.track], &seen[e.track]);
    }
  }
  return more < 0 ? -1 : count;
}
