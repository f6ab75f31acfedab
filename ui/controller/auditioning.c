/* SPDX-License-Identifier: ISC */
#include "ui/controller/auditioning.h"

#include "ui/controller/controller_state.h"
#include "ui/controller/phrase_ways.h"

#include "plugin/protocol/hear_take.h"

#include <math.h>
#include <stdlib.h>

static const char no_memory[] =
  "not enough memory to play it; close another program and do it again";

/* The song's, for a tune that says none; 0: not known. */
static int
song_tempo(const RlPlaceReport *const r)
{
  const double quarters = r->unit > 0 ? r->tempo * 4 / r->unit : 0;
  return quarters >= 20 && quarters <= 400 ? (int)lround(quarters) : 0;
}

static void
send(RlController *const c, const RlHearTake *const take)
{
  enum { CHARACTER = 4 }; /* bytes of UTF-8 at most: a text that was cut may end this much early */
  RlText text = rl_text_in(c->scratch.text, sizeof(c->scratch.text));
  rl_hear_take_write(take, &text);
  if (text.used + CHARACTER > text.size) {
    rl_editing_error(c, "too long to be played; choose a shorter phrase");
  } else {
    c->plugin.set_text(c->plugin.data, RL_HEAR_TAKE, c->scratch.text);
  }
}

static void
tune_send(RlController *const c, const RlHearVerb verb, const RlSlice tune)
{
  const RlView *const v = &c->view;
  send(c, &(RlHearTake){.verb  = verb,
                        .title = rl_slice(rl_view_phrase_title(v, v->phrases.selected)),
                        .speed = v->phrases.speed,
                        .tempo = song_tempo(&v->report),
                        .tune  = tune});
}

/* As it goes on its bar, on the harp: `way` is an index, or -1 for as it is moved there. */
static void
moved_send(RlController *const c, const int way)
{
  RlPhrase *const phrase = (RlPhrase *)malloc(sizeof(RlPhrase));
  char *const     abc    = (char *)malloc(RL_ABC_MAX);
  if (!phrase || !abc) {
    rl_editing_error(c, no_memory);
  } else if (rl_phrase_ways_phrase(c, way, phrase)) {
    RlText text = rl_text_in(abc, RL_ABC_MAX);
    tune_send(c, RL_HEAR_PLAY, rl_abc_tune(phrase, &text));
  } else if (way < 0) { /* no form, or it has no such bar */
    tune_send(c, RL_HEAR_PLAY, rl_view_phrase_tune(&c->view, c->view.phrases.selected));
  }
  free(abc);
  free(phrase);
}

static bool
stands(RlController *const c)
{
  rl_editing_error(c, c->view.report.rolling ? "the music rolls: stop it, then listen" : "");
  return !c->view.report.rolling;
}

static bool
is_there(const RlController *const c)
{
  const RlView *const v = &c->view;
  return v->screen == RL_SCREEN_PHRASES && v->phrases.selected >= 0 &&
         v->phrases.selected < rl_view_phrases(v);
}

void
rl_auditioning_do(RlController *const c, const RlAction action)
{
  const RlView *const v    = &c->view;
  const bool          stop = action.kind == RL_ACTION_HEAR && v->report.sounds;
  if (stop || action.kind == RL_ACTION_HEAR_STOP) {
    send(c, &(RlHearTake){.verb = RL_HEAR_STOP});
  } else if (is_there(c) && stands(c)) {
    const int     selected = v->phrases.selected;
    const RlSlice tune     = rl_view_phrase_tune(v, selected);
    if (action.kind == RL_ACTION_HEAR && !rl_view_is_take(v, selected)) {
      moved_send(c, -1);
    } else if (action.kind == RL_ACTION_HEAR) {
      tune_send(c, RL_HEAR_PLAY, tune);
    } else if (rl_view_lifted(v)) {
      const bool both = action.kind == RL_ACTION_HEAR_BOTH;
      tune_send(c, both ? RL_HEAR_BOTH : RL_HEAR_RECORD, both ? tune : rl_slice(""));
    }
  }
}

void
rl_auditioning_speed(RlController *const c)
{
  RlSpeed *const speed = &c->view.phrases.speed;
  *speed               = (RlSpeed)((*speed + 1) % RL_SPEEDS);
}

void
rl_auditioning_way(RlController *const c, const int way)
{
  if (is_there(c) && way < c->view.phrases.way_count && stands(c)) {
    moved_send(c, way);
  }
}
