/* SPDX-License-Identifier: ISC */
#include "plugin/lift/lifting.h"

#include "core/ear/phrase/pieces.h"
#include "plugin/lift/grid.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { WHOLE = 10, MOST = 10 /* seconds lifted at once: 12 MB */ };

static const double early = 0.125; /* quarters: so little before the first bar is meant for it */

/* ---- notes ---- */

/* The notes that begin in the part, along the song. One horn: a note ends where the next begins. */
static void
notes_add(RlLifting *const l, const RlLifted *const lifted, const RlLiftPiece *const piece)
{
  const double from = (double)piece->at / RL_LIFT_RATE;
  for (int i = 0; i < lifted->notes; ++i) {
    const RlLiftedNote *const n  = &lifted->note[i];
    const double              on = (double)n->on + from, at = rl_lifting_quarters(l, on);
    const double              off = fmin(fmin((double)n->off + from, l->past),
                            i + 1 < lifted->notes ? (double)n[1].on + from : HUGE_VAL);
    const bool                its = (double)n->on >= piece->first && (double)n->on < piece->past;
    if (its && on < l->past && at >= l->part.from - early && off > on) {
      rl_take_lifted(&l->take, at, rl_lifting_quarters(l, off), n->midi, n->sure, n->scooped,
                     n->fell);
    }
  }
}

static float
pieces_lift(RlLifting *const l, const atomic_bool *const quit, void *const memory,
            RlLifted *const lifted)
{
  uint16_t    scale[RL_LIFT_GRID_BEATS];
  RlLiftGrid  grid;
  RlLiftPiece piece  = {0};
  float       tuning = 0;
  for (int i = 0; !piece.last && !atomic_load(quit); ++i) {
    piece             = rl_lift_piece(l->samples, WHOLE, MOST, i);
    const double from = (double)piece.at / RL_LIFT_RATE;
    rl_lifting_grid(l, from, from + (double)piece.samples / RL_LIFT_RATE, scale, &grid);
    const RlLiftSound sound = {l->left + piece.at, l->right ? l->right + piece.at : NULL,
                               piece.samples};
    rl_lift(&sound, &grid, RL_LIFT_LIKELY, memory, lifted);
    notes_add(l, lifted, &piece);
    tuning = lifted->tuning;
  }
  rl_take_end(&l->take, l->part.to);
  return tuning;
}

/* ---- the picture ---- */

/* Where the tune's bar begins, along the song: by the note that is nearest to its place. */
static double
head_of(const RlLifting *const l)
{
  const RlNotated *const n = &l->notated;
  const double  head       = l->take.note[n->from[0]].at - (double)n->phrase.note[0].at / RL_TICKS;
  const RlPlace place      = rl_form_locate(&l->form, RL_AXIS_QUARTERS, head + 0.5, 0);
  const double  line       = place.unit > 0 ? head + 0.5 - place.beat * 4 / place.unit : head;
  return fabs(line - head) < 0.5 ? line : head;
}

/* Without memory there is none, and the take stands all the same. */
static void
picture_make(RlLifting *const l, const float tuning)
{
  RlPicture *const  picture = (RlPicture *)calloc(1, sizeof(*picture));
  void *const       memory  = malloc(rl_lift_picture_bytes());
  const RlLiftSound sound   = {l->left, l->right, l->samples};
  const size_t      from    = (size_t)(l->first * RL_LIFT_RATE);
  const size_t      to      = (size_t)(l->past * RL_LIFT_RATE);
  if (picture && memory && to > from) {
    const double head = head_of(l);
    picture->columns  = rl_lift_picture(&sound, from, to - from, tuning, memory, picture->cell);
    picture->begins   = (float)(rl_lifting_quarters(l, l->first) - head);
    picture->keeping  = l->keeping;
    picture->first    = l->sample;
    picture->samples  = (uint32_t)(to - from);
    picture->ends     = (float)(rl_lifting_quarters(l, l->past) - head);
    l->picture        = picture;
  } else {
    free(picture);
  }
  free(memory);
}

/* ---- the job ---- */

/* As a person would write it: to a tenth. */
static double
tempo_of(const RlLifting *const l)
{
  const double seconds  = fmax(l->past - l->first, 1e-3);
  const double quarters = rl_lifting_quarters(l, l->past) - rl_lifting_quarters(l, l->first);
  return round(fmin(fmax(quarters / seconds * 60, 10), 1000) * 10) / 10;
}

bool
rl_lifting_run(RlLifting *const l, const atomic_bool *const quit, const char **const why)
{
  const size_t    most   = (size_t)MOST * RL_LIFT_RATE;
  void *const     memory = malloc(rl_lift_bytes(l->samples < most ? l->samples : most));
  RlLifted *const lifted = (RlLifted *)malloc(sizeof(*lifted));
  const bool      good   = memory && lifted;
  float           tuning = 0;
  *why                   = "not enough memory to write it down; close another program, ask again";
  rl_take_begin(&l->take);
  if (good) {
    tuning = pieces_lift(l, quit, memory, lifted);
  }
  free(lifted);
  free(memory);
  if (!good || atomic_load(quit)) {
    *why = good ? NULL : *why;
    return false;
  }
  if (rl_notate(&l->take, &l->form, l->key, tempo_of(l), &l->workspace, &l->notated)) {
    rl_notated_fields(&l->take, &l->notated);
    picture_make(l, tuning);
  }
  return true;
}
