/* SPDX-License-Identifier: ISC */
/* Feeds takes any stream of MIDI messages and transcribes them along a form. No note may hang;
   every note on is written down at its pitch or counted as left out; the phrase must be one that
   ABC can carry, with pitches, bars and chords of the form. A libFuzzer harness; the first two
   bytes choose chart, key and tempo, then come messages: how long after the one before (up to four
   quarters), three bytes.

   RL_PLANTED_BUG, defined for one build only, plants an off-by-one below, so that one can see the
   fuzzer find it. */
#include "core/abc/abc.h"
#include "core/capture/notate.h"
#include "core/phrase/note_edit.h"
#include "demand.h"
#include "forms.h"
#include "one_of.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

static RlTake            take;
static RlNotateWorkspace room;
static RlNotated         notated;
static RlPhrase          back;
static char              abc[RL_ABC_MAX];

static int
played(void)
{
  int               on    = 0;
  RlTakeNote *const notes = (RlTakeNote *)malloc((size_t)(take.notes + 1) * sizeof(RlTakeNote));
  DEMAND(notes);
  for (int i = 0; i < take.notes; ++i) {
    DEMAND(!take.note[i].sounds && take.note[i].ends > take.note[i].at);
    DEMAND(i == 0 || take.note[i].at >= take.note[i - 1].at);
    notes[i + PLANTED * 2 * (i == take.notes - 1)] = take.note[i];
    ++on;
  }
  free(notes);
  return on + take.too_many;
}

/* No pitch is written down more often than it was played. */
static void
pitches_check(void)
{
  int left[128] = {0};
  for (int i = 0; i < take.notes; ++i) {
    ++left[take.note[i].pitch & 127];
  }
  for (int i = 0; i < notated.phrase.notes; ++i) {
    const int pitch = rl_phrase_pitch(&notated.phrase, &notated.phrase.note[i]);
    DEMAND(pitch >= 0 && pitch < 128 && left[pitch]-- > 0);
  }
}

static void
phrase_check(const RlForm *const f)
{
  const RlPhrase *const p   = &notated.phrase;
  RlText                out = rl_text_in(abc, sizeof(abc));
  RlAbcError            error;
  DEMAND(p->notes >= 1 && p->chords >= 1 && p->pickup >= 0);
  DEMAND(notated.bar >= 1 && notated.bar <= f->bars + f->ending_bars);
  for (int i = 0; i < p->notes; ++i) {
    const RlPhraseNote *const n = &p->note[i];
    DEMAND(n->lasts > 0 && n->at >= -p->pickup && n->at + n->lasts <= p->lasts &&
           n->chord < p->chords);
    DEMAND(i == 0 || n->at > p->note[i - 1].at ||
           (n->at == p->note[i - 1].at && n->lasts == p->note[i - 1].lasts));
    DEMAND(i == 0 || n->at == p->note[i - 1].at ||
           p->note[i - 1].at + p->note[i - 1].lasts <= n->at);
  }
  rl_abc_write(p, &out);
  DEMAND(out.used < sizeof(abc) - 1);
  DEMAND(rl_abc_read((RlSlice){abc, out.used}, &back, &error));
  DEMAND(back.notes == p->notes && back.lasts == p->lasts && back.pickup == p->pickup);
}

static void
phrase_edit_check(const unsigned how)
{
  const int onsets = rl_phrase_onsets(&back);
  DEMAND(onsets >= 1 && onsets <= back.notes);
  int               onset = (int)(how / 16) % onsets;
  const int         notes = back.notes;
  const char *const why   = rl_note_edit(&back, (RlNoteEdit)(how % RL_NOTE_EDITS), &onset);
  DEMAND(onset >= 0 && onset < rl_phrase_onsets(&back));
  DEMAND(!why || back.notes == notes);
  RlText     out = rl_text_in(abc, sizeof(abc));
  RlAbcError error;
  rl_abc_write(&back, &out);
  DEMAND(rl_abc_read((RlSlice){abc, out.used}, &back, &error));
}

int
LLVMFuzzerTestOneInput(const uint8_t *const data, const size_t size)
{
  if (size < 2) {
    return 0;
  }
  const RlForm *const f  = &form[data[0] % FORMS];
  double              at = data[0] / FORMS % 32 - 12.0;
  rl_take_begin(&take);
  for (size_t i = 2; i + 4 <= size; i += 4) {
    at += data[i] * data[i] / 16384.0;
    rl_take_midi(&take, at, data + i + 1, 3);
  }
  rl_take_end(&take, at);
  const int all = played();
  if (!one_of(4, data, size)) { /* writing it down takes its time */
    return 0;
  }
  memset(&notated, 0xA5, sizeof(notated));
  if (!rl_notate(&take, f, f->key, 40 + data[1], &room, &notated)) {
    DEMAND(all == 0 || (take.notes > 0 && notated.phrase.notes == 0));
    return 0;
  }
  DEMAND(notated.phrase.notes + notated.left_out + notated.scoops == all);
  pitches_check();
  phrase_check(f);
  phrase_edit_check(data[1] + 256U * data[0]);
  return 0;
}
