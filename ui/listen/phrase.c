/* SPDX-License-Identifier: ISC */
#include "ui/listen/phrase.h"

#include "core/abc/abc.h"
#include "ui/listen/track.h"

#include <math.h>
#include <stdlib.h>

/* ---- text and MIDI ---- */

bool
rl_phrase_text(FILE *const file, const RlLiftedPhrase *const phrase)
{
  for (int i = 0; i < phrase->notes; ++i) {
    const RlLiftedNote *const n = &phrase->note[i];
    fprintf(file, "%.3f %.3f %d %.2f\n", (double)n->on, (double)n->off, n->midi, (double)n->sure);
  }
  return !ferror(file);
}

/* The track up to a second. */
static void
track_wait(RlTrack *const t, uint32_t *const now, const double seconds, const double quarter)
{
  const double   ticks = fmax(0, round(seconds / quarter * RL_TRACK_DIVISION));
  const uint32_t then  = ticks > *now ? (uint32_t)ticks : *now;
  t->wait += then - *now;
  *now = then;
}

bool
rl_phrase_midi(FILE *const file, const RlLiftedPhrase *const phrase, const RlPhraseGrid *const grid)
{
  enum { NOTE_OFF = 0x80, NOTE_ON = 0x90, LOUD = 96 };
  RlTrack      t       = {0};
  uint32_t     now     = 0;
  const double quarter = rl_track_tempo(&t, grid->beat);
  for (int i = 0; i < phrase->notes; ++i) {
    const RlLiftedNote *const n      = &phrase->note[i];
    const uint8_t             on[3]  = {NOTE_ON, (uint8_t)n->midi, LOUD};
    const uint8_t             off[3] = {NOTE_OFF, (uint8_t)n->midi, LOUD};
    track_wait(&t, &now, (double)n->on, quarter);
    rl_track_event(&t, on, sizeof(on));
    track_wait(&t, &now, (double)n->off, quarter);
    rl_track_event(&t, off, sizeof(off));
  }
  return rl_track_write(&t, file);
}

/* ---- ABC ---- */

typedef struct {
  RlNotated notated;
  char      text[RL_ABC_MAX];
} Work;

bool
rl_phrase_abc(FILE *const file, const RlLiftedPhrase *const phrase, const RlPhraseGrid *const grid,
              const char *const title)
{
  Work *const w    = malloc(sizeof(*w));
  bool        good = w && rl_lifted_notate(phrase, grid, title, &w->notated);
  if (good) {
    RlText text = rl_text_in(w->text, sizeof(w->text));
    rl_abc_write(&w->notated.phrase, &text);
    good = fwrite(w->text, text.used, 1, file) == 1;
  }
  free(w);
  return good;
}

void
rl_phrase_say(const RlLiftedPhrase *const phrase, const RlPhraseGrid *const grid,
              RlText *const text)
{
  rl_text_add_int(text, phrase->notes);
  rl_text_add(text, phrase->notes == 1 ? " note" : " notes");
  if (phrase->notes > 0) {
    char tail[96];
    snprintf(tail, sizeof(tail), ", tempo %.1f%s, tuning %+.0f cents", 60 / grid->beat,
             grid->known ? "" : " (guessed; --tempo and --at say it)",
             100 * (double)phrase->tuning);
    rl_text_add(text, tail);
  }
}
