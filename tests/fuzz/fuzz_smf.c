/* SPDX-License-Identifier: ISC */
/* Feeds the reader of MIDI files anything. Events must come in order of time and lie within the
   file; what is written down of a part must be a phrase that ABC can carry; what is refused must be
   refused with a reason and a place. A libFuzzer harness; the first byte chooses the key.

   RL_PLANTED_BUG, defined for one build only, plants an off-by-one below, so that one can see the
   fuzzer find it. */
#include "core/abc/abc.h"
#include "core/capture/smf.h"
#include "demand.h"
#include "one_of.h"

#include <stdlib.h>
#include <string.h>

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

static RlSmf          smf;
static RlSmfWorkspace room;
static RlPhrase       back;
static char           abc[RL_ABC_MAX];

static void
error_check(const RlSmfError *const error, const RlSlice file)
{
  DEMAND(error->reason && error->reason[0]);
  DEMAND(error->at <= file.length || error->at == RL_SMF_MAX);
}

static void
events_check(const RlSlice file)
{
  RlSmfError error;
  RlSmfEvent e;
  int        more     = 0;
  uint64_t   ticks    = 0;
  double     quarters = 0;
  if (!rl_smf_open(&smf, file, &error)) {
    error_check(&error, file);
    return;
  }
  while ((more = rl_smf_next(&smf, &e, &error)) > 0) {
    DEMAND(e.ticks >= ticks && e.quarters >= quarters && e.track >= 0 && e.track < smf.tracks);
    DEMAND(e.kind != RL_SMF_MIDI ||
           (e.bytes[0] >= 128 && e.bytes[0] < 0xF0 && e.size >= 2 && e.size <= 3));
    if (e.kind == RL_SMF_NAME) {
      char *const copy = (char *)malloc(e.text.length + 1);
      DEMAND(copy);
      memcpy(copy, e.text.at, e.text.length + PLANTED * 8 * (e.text.length > 4));
      DEMAND(!memcmp(copy, e.text.at, e.text.length));
      free(copy);
    }
    ticks    = e.ticks;
    quarters = e.quarters;
  }
  if (more < 0) {
    error_check(&error, file);
  }
}

static void
phrase_check(void)
{
  const RlPhrase *const p   = &room.notated.phrase;
  RlText                out = rl_text_in(abc, sizeof(abc));
  RlAbcError            error;
  DEMAND(p->notes >= 1 && p->notes <= RL_PHRASE_NOTES_MAX && p->chords >= 1);
  for (int i = 0; i < p->notes; ++i) {
    DEMAND(p->note[i].lasts > 0 && (i == 0 || p->note[i].at >= p->note[i - 1].at));
  }
  rl_abc_write(p, &out);
  DEMAND(out.used < sizeof(abc) - 1);
  DEMAND(rl_abc_read((RlSlice){abc, out.used}, &back, &error));
  DEMAND(back.notes == p->notes && back.lasts == p->lasts && back.pickup == p->pickup);
}

int
LLVMFuzzerTestOneInput(const uint8_t *const data, const size_t size)
{
  RlSmfPart  part[RL_SMF_PARTS_MAX];
  RlSmfError error;
  if (size < 1) {
    return 0;
  }
  uint8_t *const copy = (uint8_t *)malloc(size); /* to its exact size: a byte more is found */
  DEMAND(copy);
  memcpy(copy, data + 1, size - 1);
  const RlSlice file = {(const char *)copy, size - 1};
  events_check(file);
  const bool written = one_of(64, data, size); /* it takes its time */
  const int  parts   = rl_smf_parts(file, part, &error);
  if (parts < 0) {
    error_check(&error, file);
  }
  for (int i = 0; i < parts && i < 2 && written; ++i) {
    memset(&room.notated, 0xA5, sizeof(room.notated));
    if (rl_smf_phrase(file, part[i], NULL, rl_key_named(data[0] % 12, data[0] & 16), &room,
                      &error)) {
      phrase_check();
    } else {
      error_check(&error, file);
    }
  }
  free(copy);
  return 0;
}
