/* SPDX-License-Identifier: ISC */
#include "ui/clip/lifted.h"

#include "core/chart/chart.h"
#include "core/ear/phrase/beat.h"
#include "core/ear/phrase/pieces.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { PIECE = 16 /* seconds heard at once */ };

/* ---- pieces ---- */

static void
notes_append(const RlLifted *const lifted, const RlLiftPiece *const piece,
             RlLiftedPhrase *const all)
{
  const float from = (float)piece->at / RL_LIFT_RATE;
  for (int i = 0; i < lifted->notes && all->notes < RL_PHRASE_LIFTED_MAX; ++i) {
    RlLiftedNote note = lifted->note[i];
    if ((double)note.on >= piece->first && (double)note.on < piece->past) {
      note.on += from;
      note.off += from;
      all->note[all->notes++] = note;
    }
  }
}

bool
rl_lifted_hear(const RlClip *const clip, const RlLiftGrid *const grid, RlLiftedPhrase *const all)
{
  const size_t    most   = RL_LIFT_SAMPLES_MAX;
  void *const     memory = malloc(rl_lift_bytes(clip->samples < most ? clip->samples : most));
  RlLifted *const lifted = malloc(sizeof(*lifted));
  RlLiftPiece     piece  = {0};
  all->notes             = 0;
  for (int i = 0; memory && lifted && !piece.last; ++i) {
    RlLiftGrid here = *grid;
    piece           = rl_lift_piece(clip->samples, PIECE, RL_LIFT_SECONDS_MAX, i);
    here.origin -= (double)piece.at / RL_LIFT_RATE;
    const RlLiftSound sound = {clip->left + piece.at, clip->right ? clip->right + piece.at : NULL,
                               piece.samples};
    rl_lift(&sound, &here, RL_LIFT_LIKELY, memory, lifted);
    notes_append(lifted, &piece, all);
    all->tuning = lifted->tuning;
    all->swing  = lifted->swing;
  }
  const bool good = memory && lifted;
  free(memory);
  free(lifted);
  return good;
}

/* ---- key and beat, where nothing says them ---- */

RlKey
rl_lifted_key(const RlLiftedPhrase *const all)
{
  static const float fits[12] = {3, -1, 1, 1.5F, 1.5F, 1, .8F, 2, -1, 1, 1.5F, -.5F};
  int                best     = 0;
  float              most     = -HUGE_VALF;
  for (int tonic = 0; tonic < 12; ++tonic) {
    float sum = 0;
    for (int i = 0; i < all->notes; ++i) {
      const RlLiftedNote *const n = &all->note[i];
      sum += fits[(n->midi - tonic + 120) % 12] * fminf(n->off - n->on, 1);
    }
    if (sum > most) {
      most = sum;
      best = tonic;
    }
  }
  return rl_key_named(best, false);
}

void
rl_lifted_beat(const RlLiftedPhrase *const all, double *const beat, const bool has_origin,
               double *const origin)
{
  RlLifted *const some = malloc(sizeof(*some));
  if (some) {
    some->notes = all->notes < RL_LIFT_NOTES_MAX ? all->notes : RL_LIFT_NOTES_MAX;
    memcpy(some->note, all->note, sizeof(*some->note) * (size_t)some->notes);
    rl_lift_beat(some, beat, has_origin, origin);
    free(some);
  }
  *beat = *beat > 0 ? *beat : 0.5;
}

/* ---- as a tune ---- */

bool
rl_lifted_plain(RlForm *const form, const RlKey key)
{
  char         words[64];
  RlText       text = rl_text_in(words, sizeof(words));
  RlChartError error;
  rl_text_add(&text, "key: ");
  rl_key_write(key, &text);
  rl_text_add(&text, "\n\n| N.C. | % | % | % |\n");
  return rl_chart_read(rl_slice(words), form, &error);
}

double
rl_lifted_felt(const RlForm *const form)
{
  const RlBar *const bar = &form->bar[0];
  return 4.0 * bar->beats / bar->unit / rl_meter_felt(bar->beats, bar->unit);
}

/* The notes along the form; where they begin before it, whole choruses later. */
static void
take_fill(const RlLiftedPhrase *const phrase, const RlPhraseGrid *const grid, RlTake *const take)
{
  const double each   = rl_lifted_felt(grid->form);
  const double chorus = grid->form->starts[RL_AXIS_QUARTERS][grid->form->bars];
  const double first  = ((double)phrase->note[0].on - grid->origin) / grid->beat * each;
  const double later  = -chorus * floor((first + each / 2) / chorus); /* into the first chorus */
  rl_take_begin(take);
  for (int i = 0; i < phrase->notes; ++i) {
    const RlLiftedNote *const n   = &phrase->note[i];
    const double              on  = ((double)n->on - grid->origin) / grid->beat * each + later;
    const double              off = ((double)n->off - grid->origin) / grid->beat * each + later;
    rl_take_lifted(take, on, off, n->midi, n->sure, n->scooped, n->fell);
  }
  rl_take_end(
    take, ((double)phrase->note[phrase->notes - 1].off - grid->origin) / grid->beat * each + later);
}

typedef struct {
  RlTake            take;
  RlNotateWorkspace notate;
} Work;

bool
rl_lifted_notate(const RlLiftedPhrase *const all, const RlPhraseGrid *const grid,
                 const char *const title, RlNotated *const notated)
{
  Work *const  w     = all->notes > 0 ? malloc(sizeof(*w)) : NULL;
  const double tempo = 60 / grid->beat * rl_lifted_felt(grid->form);
  bool         good  = w != NULL;
  if (good) {
    take_fill(all, grid, &w->take);
    good = rl_notate(&w->take, grid->form, grid->key, tempo, &w->notate, notated);
  }
  if (good) {
    RlText name = rl_text_in(notated->phrase.title, sizeof(notated->phrase.title));
    rl_text_add(&name, title);
    rl_notated_fields(&w->take, notated);
    notated->phrase.tempo = round(tempo);
  }
  free(w);
  return good;
}
