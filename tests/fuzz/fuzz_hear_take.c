/* SPDX-License-Identifier: ISC */
/* Feeds the reader of what somebody wants to listen to any text, and the voice whatever tune it
   finds. What is read must lie within the text and read back from what is written; what is refused
   must have a reason and a line of the text; what sounds must be sound. A libFuzzer harness.

   RL_PLANTED_BUG, defined for one build only, plants an off-by-one below, so that one can see the
   fuzzer find it. */
#include "core/abc/abc.h"
#include "core/capture/notate.h"
#include "core/voice/voice.h"
#include "demand.h"
#include "forms.h"
#include "plugin/protocol/hear_take.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

enum { FRAMES = 4000, RATE = 8000 };

static RlPhrase phrase;
static char     written[1 << 17];

static bool
within(const RlSlice part, const RlSlice whole)
{
  return !part.length || (part.at >= whole.at && part.at + part.length <= whole.at + whole.length);
}

/* A title as somebody who keeps it would copy it. */
static void
title_copy(const RlHearTake *const take)
{
  char *const title = (char *)malloc(take->title.length + 1);
  DEMAND(title);
  memcpy(title, take->title.at ? take->title.at : "", take->title.length);
  title[take->title.length + (take->speed == RL_SPEED_HALF ? PLANTED : 0)] = '\0';
  DEMAND(strlen(title) <= take->title.length); /* read, so that it is written */
  free(title);
}

static void
reads_back(const RlHearTake *const take)
{
  RlText      out = rl_text_in(written, sizeof(written));
  RlHearTake  again;
  const char *why;
  rl_hear_take_write(take, &out);
  DEMAND(out.used < sizeof(written) - 1);
  DEMAND(rl_hear_take_read((RlSlice){written, out.used}, &again, &why));
  DEMAND(again.verb == take->verb && again.speed == take->speed && again.tempo == take->tempo);
  DEMAND(again.title.length == take->title.length && again.tune.length == take->tune.length);
  DEMAND(!take->title.length || !memcmp(again.title.at, take->title.at, take->title.length));
}

static void
sound_check(const RlHearTake *const take)
{
  float            sound[FRAMES] = {0};
  const RlVoiceHow how           = {.rate  = RATE,
                                    .tempo = take->tempo ? take->tempo : 120,
                                    .speed = rl_speed_factor(take->speed),
                                    .swing = rl_notated_swing(phrase.fields)};
  const int64_t    frames        = rl_voice_frames(&phrase, &how);
  DEMAND(frames > 0);
  rl_voice_play(&phrase, &how, sound, FRAMES);
  for (int i = 0; i < FRAMES; ++i) {
    DEMAND(isfinite(sound[i]) && (i < frames || sound[i] == 0));
  }
}

int
LLVMFuzzerTestOneInput(const uint8_t *const data, const size_t size)
{
  const RlSlice text = {(const char *)data, size};
  RlHearTake    take;
  RlAbcError    error;
  const char   *why;
  if (rl_slice_bad_byte(text) >= 0) {
    return 0;
  }
  if (!rl_hear_take_read(text, &take, &why)) {
    DEMAND(why && why[0] && take.line >= 1 && take.line <= lines_in(text.at, text.length));
    return 0;
  }
  DEMAND(!why && take.verb < RL_HEAR_VERBS && take.speed < RL_SPEEDS);
  DEMAND(within(take.title, text) && within(take.tune, text));
  title_copy(&take);
  reads_back(&take);
  if (rl_abc_read(take.tune, &phrase, &error)) {
    sound_check(&take);
  }
  return 0;
}
