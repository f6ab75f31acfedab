/* SPDX-License-Identifier: ISC */
#include "ui/files/clip_hear.h"

#include "ui/clip/lifted.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* Memory of one job. */
typedef struct {
  RlClip         clip;
  RlLiftedPhrase phrase;
  RlForm         plain;
} Work;

bool
rl_clip_lift_can(void)
{
  return true;
}

static const char *
name_of(const RlClipLift *const l)
{
  const char *const slash = strrchr(l->path, '/');
  return slash ? slash + 1 : l->path;
}

/* What nobody said, in the line that informs. */
static void
guesses_say(RlClipLift *const l, const RlPhraseGrid *const grid, const bool goes_on)
{
  char *const fields = l->notated.phrase.fields;
  char *const end    = strchr(fields, '\n');
  char        rest[RL_PHRASE_FIELDS_SIZE];
  RlText      text = {fields, RL_PHRASE_FIELDS_SIZE, (size_t)(end ? end - fields : 0)};
  RlText      kept = rl_text_in(rest, sizeof(rest));
  rl_text_add(&kept, end ? end : "");
  rl_text_add(&text, grid->known ? "; bar 1 and key guessed" : "; tempo, bar 1 and key guessed");
  rl_text_add(&text, goes_on ? "; its first 60 seconds" : "");
  rl_text_add(&text, rest);
}

static const char *
clip_hear(RlClipLift *const l, Work *const w)
{
  const double     tempo = rl_clip_lift_tempo(name_of(l));
  const RlLiftGrid none  = {0};
  RlPhraseGrid     grid  = {.beat = tempo > 0 ? 60 / tempo : 0, .known = tempo > 0};
  const char      *why   = rl_sound_clip(l->path, 0, RL_CLIP_SECONDS, &w->clip);
  if (why) {
    return why;
  }
  if (!rl_lifted_hear(&w->clip, &none, &w->phrase)) {
    return "not enough memory; close another program and choose it again";
  }
  if (!w->phrase.notes) {
    return "no notes are heard in it; cut it to where the horn plays";
  }
  rl_lifted_beat(&w->phrase, &grid.beat, false, &grid.origin);
  grid.key  = rl_lifted_key(&w->phrase);
  grid.form = &w->plain;
  if (!rl_lifted_plain(&w->plain, grid.key) ||
      !rl_lifted_notate(&w->phrase, &grid, l->title, &l->notated)) {
    return "it cannot be written down; cut it to the phrase";
  }
  guesses_say(l, &grid, w->clip.goes_on);
  return NULL;
}

void
rl_clip_hear(RlClipLift *const l)
{
  Work *const       w    = (Work *)calloc(1, sizeof(*w));
  const char *const why  = w ? clip_hear(l, w) : "not enough memory; close another program";
  RlText            text = rl_text_in(l->why, sizeof(l->why));
  l->good                = !why;
  if (why) {
    rl_text_add(&text, name_of(l));
    rl_text_add(&text, ": ");
    rl_text_add(&text, why);
    rl_text_add(&text, strchr(why, ';') ? "" : "; export it again as WAV or FLAC");
  }
  if (w) {
    free(w->clip.left);
  }
  free(w);
}
