/* SPDX-License-Identifier: ISC */
/* A phrase lifted from a recording. */
#include "core/ear/phrase/over.h"
#include "core/phrase/title.h"
#include "ui/listen/listen.h"
#include "ui/listen/phrase.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { BEATS = 4096 };

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

/* ---- the whole job ---- */

typedef struct {
  const RlListenOptions *options;
  RlLiftedPhrase         phrase;
  RlPhraseGrid           grid;
  RlForm                 plain;
  uint16_t               scale[BEATS];
  char                   title[RL_PHRASE_TITLE_SIZE];
} Work;

/* The recording's name without its folders and its ending, as a title. */
static void
title_find(const char *const path, char title[RL_PHRASE_TITLE_SIZE])
{
  const char *const slash = strrchr(path, '/');
  const char *const name  = slash ? slash + 1 : path;
  const char *const dot   = strrchr(name, '.');
  RlText            text  = rl_text_in(title, RL_PHRASE_TITLE_SIZE);
  rl_title_write((RlSlice){name, dot && dot > name ? (size_t)(dot - name) : strlen(name)}, "phrase",
                 &text);
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
    if (!rl_lifted_hear(&clip, &grid, &w->phrase)) {
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
  w->grid.key    = o->has_key || form ? w->grid.key : rl_lifted_key(&w->phrase);
  return RL_LISTEN_DONE;
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
  if (!form && !rl_lifted_plain(&w->plain, w->grid.key)) {
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
    rl_lifted_beat(&w->phrase, &w->grid.beat, options->has_at, &w->grid.origin);
    end = phrase_write(w, form);
  }
  free(w);
  return end;
}
