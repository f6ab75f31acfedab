/* SPDX-License-Identifier: ISC */
/* Feeds the reader of what somebody wants to listen to any text, and the voice whatever tune it
   finds. What is read must lie within the text and read back from what is written; what is refused
   must have a reason and a line of the text; what sounds must be sound. The same text is read as
   what is wanted of the track, and how sure the notes of its tune are is read and written. A
   libFuzzer harness.

   RL_PLANTED_BUG, defined for one build only, plants an off-by-one below, so that one can see the
   fuzzer find it. */
#include "core/abc/abc.h"
#include "core/capture/notate.h"
#include "core/phrase/edit.h"
#include "core/phrase/sure.h"
#include "core/voice/voice.h"
#include "demand.h"
#include "forms.h"
#include "plugin/protocol/hear_take.h"
#include "plugin/protocol/lift_ask.h"

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

/* What is wanted of the track. */
static void
ask_check(const RlSlice text)
{
  RlLiftAsk ask, again;
  if (!rl_lift_ask_read(text, &ask)) {
    return;
  }
  RlText out = rl_text_in(written, sizeof(written));
  if (ask.kind == RL_LIFT_ASK_BARS) {
    DEMAND(ask.first >= 1 && ask.last >= ask.first && ask.last <= 999999);
    rl_lift_ask_bars(&out, ask.first, ask.last);
  } else {
    DEMAND(ask.title.length > 0 && within(ask.title, text));
    rl_text_add(&out, "picture: ");
    rl_text_add_slice(&out, ask.title);
  }
  DEMAND(rl_lift_ask_read((RlSlice){written, out.used}, &again) && again.kind == ask.kind);
  DEMAND(again.first == ask.first && again.last == ask.last);
}

/* How sure the notes are, and what is left of it once the first one is gone. */
static void
sure_check(void)
{
  uint8_t      sure[RL_PHRASE_NOTES_MAX], again[RL_PHRASE_NOTES_MAX];
  const bool   known = rl_phrase_sure_read(&phrase, sure);
  const size_t used  = strlen(phrase.fields);
  if (known) {
    rl_phrase_sure_write(&phrase, sure);
    DEMAND(strlen(phrase.fields) <= used + 1);
    DEMAND(rl_phrase_sure_read(&phrase, again) && !memcmp(sure, again, phrase.notes));
  }
  const uint16_t notes = phrase.notes;
  if (rl_phrase_onset_remove(&phrase, 0) && known) {
    DEMAND(rl_phrase_sure_read(&phrase, again));
    DEMAND(!memcmp(sure + notes - phrase.notes, again, phrase.notes));
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
  ask_check(text);
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
    sure_check();
  }
  return 0;
}
