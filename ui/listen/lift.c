/* SPDX-License-Identifier: ISC */
/* A phrase lifted from a recording. A long one is heard in pieces that overlap. */
#include "core/chart/chart.h"
#include "core/ear/phrase/beat.h"
#include "core/ear/phrase/over.h"
#include "core/ear/phrase/pieces.h"
#include "ui/listen/listen.h"
#include "ui/listen/phrase.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { PIECE = 16 /* seconds heard at once */, BEATS = 4096 };

/* ---- what is known ---- */

/* The scale of each felt beat of the form. Returns how many there are. */
static int
scales_of_form(const RlForm *const form, const RlKey key, uint16_t scale[BEATS])
{
  const double beats = form->starts[RL_AXIS_FELT][form->bars];
  const int    count = beats < BEATS ? (int)ceil(beats) : BEATS;
  for (int i = 0; i < count; ++i) {
    const RlPlace place = rl_form_locate(form, RL_AXIS_FELT, i, 0);
    scale[i]            = rl_lift_over(form, &place, key);
  }
  return count;
}

/* What the command line says of the grid, against the clip's own beginning. */
static void
grid_from(const RlListenOptions *const w, const RlForm *const form, const RlKey *const key,
          uint16_t scale[BEATS], RlLiftGrid *const grid)
{
  *grid = (RlLiftGrid){.beat   = w->tempo > 0 ? 60 / w->tempo : 0,
                       .origin = w->at - w->from,
                       .scale  = scale,
                       .feel   = w->feel};
  if (form && w->has_at && w->tempo > 0) {
    grid->beats = scales_of_form(form, *key, scale);
  } else if (w->has_key) {
    grid->beats = 1;
    scale[0]    = rl_lift_over_key(*key);
  }
  grid->beat = w->has_at ? grid->beat : 0; /* a tempo without a place helps with the beat alone */
}

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

/* Lifts the clip with what is known of the grid; times in seconds from its beginning. */
static bool
pieces_lift(const RlClip *const clip, const RlLiftGrid *const grid, RlLiftedPhrase *const all)
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

/* ---- the key, where nothing says it ---- */

/* The tonic over which a blues fits best: by how long each pitch class sounds. Our own judgement.
 */
static RlKey
key_guess(const RlLiftedPhrase *const all)
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

/* ---- the whole job ---- */

typedef struct {
  const RlListenOptions *options;
  RlLiftedPhrase         phrase;
  RlPhraseGrid           grid;
  RlForm                 plain;
  uint16_t               scale[BEATS];
  char                   title[64];
} Work;

/* A chart without chords, for what has none. */
static bool
plain_make(RlForm *const form, const RlKey key)
{
  char         words[64];
  RlText       text = rl_text_in(words, sizeof(words));
  RlChartError error;
  rl_text_add(&text, "key: ");
  rl_key_write(key, &text);
  rl_text_add(&text, "\n\n| N.C. | % | % | % |\n");
  return rl_chart_read(rl_slice(words), form, &error);
}

/* The recording's name without its folders and its ending. */
static void
title_find(const char *const path, char title[64])
{
  const char *const slash = strrchr(path, '/');
  snprintf(title, 64, "%s", slash ? slash + 1 : path);
  char *const dot = strrchr(title, '.');
  if (dot && dot > title) {
    *dot = 0;
  }
}

static bool
phrase_put(void *const what, FILE *const file)
{
  const Work *const w = what;
  switch (w->options->format) {
  case RL_LISTEN_NOTES:
    return rl_phrase_text(file, &w->phrase);
  case RL_LISTEN_MIDI:
    return rl_phrase_midi(file, &w->phrase, &w->grid);
  default:
    return rl_phrase_abc(file, &w->phrase, &w->grid, w->title);
  }
}

static bool
phrase_fill(void *const what, const char *const path)
{
  return rl_listen_file(path, phrase_put, what);
}

/* Lifts it, then finds what nobody said of the grid. */
static RlListenEnd
phrase_find(Work *const w, const RlForm *const form)
{
  const RlListenOptions *const o    = w->options;
  RlClip                       clip = {0};
  RlLiftGrid                   grid;
  w->grid.key     = o->has_key ? o->key : form ? form->key : rl_key_named(7, false);
  RlListenEnd end = rl_listen_clip(o, &clip);
  if (end == RL_LISTEN_DONE) {
    grid_from(o, form, &w->grid.key, w->scale, &grid);
    if (!pieces_lift(&clip, &grid, &w->phrase)) {
      end = rl_listen_complain(RL_LISTEN_INPUT, o->sound,
                               "not enough memory; name less of it with --phrase");
    }
  }
  free(clip.left);
  if (end != RL_LISTEN_DONE) {
    return end;
  }
  for (int i = 0; i < w->phrase.notes; ++i) {
    w->phrase.note[i].on += (float)o->from;
    w->phrase.note[i].off += (float)o->from;
  }
  w->grid.known  = o->tempo > 0 && o->has_at;
  w->grid.beat   = o->tempo > 0 ? 60 / o->tempo : 0;
  w->grid.origin = o->at;
  w->grid.key    = o->has_key || form ? w->grid.key : key_guess(&w->phrase);
  return RL_LISTEN_DONE;
}

/* The beat that the notes themselves suggest. */
static void
beat_find(Work *const w)
{
  RlLifted *const some = malloc(sizeof(*some));
  if (some) {
    some->notes = w->phrase.notes < RL_LIFT_NOTES_MAX ? w->phrase.notes : RL_LIFT_NOTES_MAX;
    memcpy(some->note, w->phrase.note, sizeof(*some->note) * (size_t)some->notes);
    rl_lift_beat(some, &w->grid.beat, w->options->has_at, &w->grid.origin);
    free(some);
  }
  w->grid.beat = w->grid.beat > 0 ? w->grid.beat : 0.5;
}

static RlListenEnd
phrase_write(Work *const w, const RlForm *const form)
{
  char   words[256];
  RlText said = rl_text_in(words, sizeof(words));
  if (w->phrase.notes < 1 && w->options->format == RL_LISTEN_ABC) {
    return rl_listen_complain(RL_LISTEN_INPUT, w->options->sound,
                              "no phrase is heard in it; name its seconds with --phrase");
  }
  if (!form && !plain_make(&w->plain, w->grid.key)) {
    return rl_listen_complain(RL_LISTEN_INPUT, "--key", "no chart can be made in it");
  }
  w->grid.form = form ? form : &w->plain;
  title_find(w->options->sound, w->title);
  rl_phrase_say(&w->phrase, &w->grid, &said);
  fprintf(stderr, "%s\n", words);
  return rl_listen_output(w->options->output, phrase_fill, w);
}

RlListenEnd
rl_listen_lift(const RlListenOptions *const options, const RlForm *const form)
{
  Work *const w   = calloc(1, sizeof(*w));
  RlListenEnd end = RL_LISTEN_INPUT;
  if (!w) {
    return rl_listen_complain(end, NULL, "not enough memory");
  }
  w->options = options;
  end        = phrase_find(w, form);
  if (end == RL_LISTEN_DONE) {
    beat_find(w);
    end = phrase_write(w, form);
  }
  free(w);
  return end;
}
