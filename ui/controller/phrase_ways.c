/* SPDX-License-Identifier: ISC */
#include "ui/controller/phrase_ways.h"

#include "ui/controller/controller_state.h"
#include "ui/controller/phrase_edits.h"

#include <stdlib.h>
#include <string.h>

/* The phrase moved to its bar lies in scratch.lane; false: there is none. */
static bool
input_make(RlController *const c, RlHarpChoice owned[RL_OWNED_MAX], RlWaysInput *const in)
{
  RlLaneWorkspace *const work = &c->scratch.lane;
  if (!c->view.form || !c->picker.plan.planned_count ||
      !rl_lane_move(&c->picker.plan, 0, c->view.form, rl_view_key(&c->view), work)) {
    return false;
  }
  *in = (RlWaysInput){work->note,
                      work->phrase.notes,
                      work->over,
                      rl_view_harp(&c->view),
                      rl_view_player(&c->view),
                      owned,
                      rl_owned_harps_list(&c->harps.owned, owned)};
  return true;
}

static void
tab_words(const RlWaysInput *const in, const RlTab *const tab, char *const words)
{
  RlText text = rl_text_in(words, RL_WAY_TAB_SIZE);
  for (int i = 0; i < in->count; ++i) {
    const bool together = i && in->notes[i].at == in->notes[i - 1].at;
    rl_text_add(&text, !i ? "" : together ? "+" : " ");
    if (tab[i].hole) {
      rl_tab_write(tab[i].hole, (RlTechnique)tab[i].technique, &text);
      rl_text_add(&text, tab[i].marks & RL_TAB_IS_REPLACED ? "*" : "");
    } else {
      rl_text_add(&text, "x");
    }
  }
}

void
rl_phrase_ways_find(RlController *const c)
{
  RlViewPhrases *const   v = &c->view.phrases;
  RlHarpChoice           owned[RL_OWNED_MAX];
  RlWaysInput            in;
  RlWaysWorkspace *const w = (RlWaysWorkspace *)malloc(sizeof(RlWaysWorkspace));
  v->way_count             = 0;
  if (w && input_make(c, owned, &in)) {
    v->way_count = rl_ways_find(&in, w, v->way);
    for (int i = 0; i < v->way_count; ++i) {
      rl_way_tab(&in, &v->way[i], w, c->scratch.lane.tab);
      tab_words(&in, c->scratch.lane.tab, v->way_tab[i]);
    }
  }
  free(w);
}

/* ---- one taken ---- */

/* The notes of a phrase become those that sound: moved to its bar again they are `target`. A third
   may follow the chord or no longer, so that it takes a second look. */
static void
notes_aim(RlController *const c, RlPhrase *const phrase, const int16_t *const target)
{
  RlLaneWorkspace *const work = &c->scratch.lane;
  for (int look = 0; look < 3; ++look) {
    rl_phrase_move(phrase, (RlMove)c->view.phrases.planned.move, rl_view_key(&c->view), work->over,
                   work->note);
    for (int i = 0; i < phrase->notes; ++i) {
      phrase->note[i].above = (int16_t)(phrase->note[i].above + target[i] - work->note[i].pitch);
    }
  }
}

/* Without the notes that are left out. */
static void
notes_leave_out(RlPhrase *const phrase, const RlTab *const tab)
{
  int kept = 0;
  for (int i = 0; i < phrase->notes; ++i) {
    if (tab[i].hole) {
      phrase->note[kept++] = phrase->note[i];
    }
  }
  phrase->notes = (uint16_t)kept;
}

/* The pitches that this way has; NULL: those of the phrase moved to its bar. Its tab is in `w`. */
static void
target_find(const RlWaysInput *const in, const RlWay *const way, RlWaysWorkspace *const w,
            int16_t target[RL_PHRASE_NOTES_MAX])
{
  const int by = way ? 12 * way->octaves : 0;
  if (way) {
    rl_way_tab(in, way, w, w->tab);
  }
  for (int i = 0; i < in->count; ++i) {
    const bool nearest = way && way->kind == RL_WAY_NEAREST && w->tab[i].hole;
    target[i]          = (int16_t)(nearest ? w->tab[i].note : in->notes[i].pitch + by);
  }
}

/* A copy of the phrase that sounds as this way does. */
static void
copy_make(RlController *const c, const RlWaysInput *const in, const RlWay *const way,
          RlWaysWorkspace *const w)
{
  RlPhrase *const phrase = (RlPhrase *)malloc(sizeof(RlPhrase));
  int16_t         target[RL_PHRASE_NOTES_MAX];
  if (!phrase) {
    rl_editing_error(c, "not enough memory to change it; close another program and do it again");
    return;
  }
  *phrase = c->scratch.lane.phrase;
  target_find(in, way, w, target);
  notes_aim(c, phrase, target);
  notes_leave_out(phrase, w->tab);
  if (phrase->notes) {
    rl_phrase_edits_add(c, phrase);
  }
  free(phrase);
}

bool
rl_phrase_ways_phrase(RlController *const c, const int index, RlPhrase *const phrase)
{
  RlHarpChoice           owned[RL_OWNED_MAX];
  RlWaysInput            in;
  int16_t                target[RL_PHRASE_NOTES_MAX];
  RlWaysWorkspace *const w    = (RlWaysWorkspace *)malloc(sizeof(RlWaysWorkspace));
  const bool             good = w && index < c->view.phrases.way_count && input_make(c, owned, &in);
  if (good) {
    const RlWay *const way = index < 0 ? NULL : &c->view.phrases.way[index];
    *phrase                = c->scratch.lane.phrase;
    target_find(&in, way, w, target);
    for (int i = 0; i < phrase->notes; ++i) { /* where they lie: there it sounds */
      RlPhraseNote *const n = &phrase->note[i];
      n->above              = (int16_t)(n->above + target[i] - rl_phrase_pitch(phrase, n));
    }
    if (way) {
      notes_leave_out(phrase, w->tab);
    }
  }
  free(w);
  return good && phrase->notes;
}

void
rl_phrase_ways_take(RlController *const c, const int index)
{
  RlHarpChoice           owned[RL_OWNED_MAX];
  RlWaysInput            in;
  RlWaysWorkspace *const w = (RlWaysWorkspace *)malloc(sizeof(RlWaysWorkspace));
  if (w && index < c->view.phrases.way_count && input_make(c, owned, &in)) {
    const RlWay way = c->view.phrases.way[index];
    if (way.octaves || way.kind == RL_WAY_NEAREST) {
      copy_make(c, &in, &way, w);
    }
    if (way.kind == RL_WAY_HARP || way.kind == RL_WAY_POSITION) {
      rl_harps_set(c, way.harp);
    }
    c->view.phrases.panel = RL_PHRASE_PANEL_PUT;
    rl_picker_update(c);
  }
  free(w);
}
