/* SPDX-License-Identifier: ISC */
#include "ui/draw/phrases.h"

#include "ui/draw/lane.h"
#include "ui/draw/strip.h"
#include "ui/draw/typing.h"
#include "ui/model/music_signs.h"
#include "ui/model/way_words.h"

#include <math.h>
#include <string.h>

/* ---- the library ---- */

/* Appends the bars on which the plan has a phrase of that title, each once: `bars 4 11`. */
static void
bars_write(const RlView *const v, const char *const title, RlText *const text)
{
  uint16_t bar[RL_PLANNED_MAX];
  int      bars = 0;
  for (int i = 0; v->plan && i < v->plan->planned_count; ++i) {
    const RlPlanned *const p = &v->plan->planned[i];
    if (!strcmp(v->plan->phrase[p->phrase].title, title) && (!bars || bar[bars - 1] != p->bar)) {
      bar[bars++] = p->bar;
    }
  }
  for (int i = 0; i < bars; ++i) {
    rl_text_add(text, i ? " " : bars > 1 ? "bars " : "bar ");
    rl_text_add_int(text, bar[i]);
  }
}

/* Appends what is left out of the phrase: `4 left out`. */
static void
left_write(const RlView *const v, const int pick, RlText *const text)
{
  const int left = rl_view_phrase_left(v, pick);
  if (left > 0 || left == RL_LIBRARY_WRONG) {
    rl_text_add(text, text->used ? "; " : "");
  }
  if (left > 0) {
    rl_text_add_int(text, left);
  }
  rl_text_add(text, left > 0 ? " left out" : left == RL_LIBRARY_WRONG ? "cannot be read" : "");
}

static void
row_draw(const RlScene *const s, const RlSpot *const spot)
{
  const RlView *const v    = s->view;
  const int           pick = spot->action.value;
  const char *const   name = rl_view_phrase_title(v, pick);
  const bool          take = rl_view_is_take(v, pick);
  const bool          here = spot->action.value == v->phrases.selected;
  const double        size = s->layout->value;
  RlRect              box  = rl_rect_inset(spot->at, spot->at.h / 8);
  char                words[RL_WORDS_SIZE];
  RlText              aside = rl_text_in(words, sizeof(words));
  const RlInk         title = here ? RL_INK_ON_LIGHT : take ? RL_INK_NEXT_NAME : RL_INK_TEXT;
  if (here && v->edit.kind == RL_EDIT_TITLE && v->edit.input) {
    rl_draw_typing(s, spot->at, size);
    return;
  }
  if (here) {
    rl_fill_box(&s->paint, spot->at, fmin(8, spot->at.h / 4), RL_INK_90);
  }
  bars_write(v, name, &aside);
  left_write(v, pick, &aside);
  const RlStyle quiet = {size * 0.85, RL_PLAIN, here ? RL_INK_ON_LIGHT : RL_INK_QUIET, RL_RIGHT};
  if (words[0]) {
    rl_write(
      &s->paint,
      rl_rect_cut_right(&box, fmin(box.w * 0.4, rl_write_width(&s->paint, quiet, words) + 1)),
      quiet, words);
    rl_rect_cut_right(&box, size / 2);
  }
  rl_write(&s->paint, box,
           (RlStyle){size, rl_view_phrase_is_own(v, pick) ? RL_BOLD : RL_PLAIN, title, RL_LEFT},
           name);
}

static void
find_draw(const RlScene *const s, const RlRect at)
{
  const RlView *const v      = s->view;
  const double        size   = s->layout->value;
  const bool          wanted = v->phrases.query && *v->phrases.query;
  RlRect              under  = {at.x, at.y + at.h, at.w, at.h};
  char                name[RL_FIND_NAME_SIZE];
  rl_find_name_write(rl_view_listed(v), rl_view_phrases(v), s->layout->phrases_shown, name);
  if (v->edit.kind == RL_EDIT_FIND && v->edit.input) {
    rl_draw_typing(s, at, size);
  } else {
    rl_edge_box(&s->paint, at, fmin(8, at.h / 4), 1, RL_INK_EDGE);
    rl_write(
      &s->paint, rl_rect_inset(at, at.h / 8),
      (RlStyle){size, wanted ? RL_BOLD : RL_PLAIN, wanted ? RL_INK_TEXT : RL_INK_QUIET, RL_LEFT},
      wanted ? v->phrases.query : name);
  }
  if (rl_view_searches(v) && !wanted && !v->phrases.found_count) {
    rl_write(&s->paint, rl_rect_inset(under, at.h / 8),
             (RlStyle){size, RL_PLAIN, RL_INK_90, RL_LEFT}, "no phrase is like that; list more");
  }
  if (wanted && !v->phrases.found_count) {
    rl_write(&s->paint, rl_rect_inset(under, at.h / 8),
             (RlStyle){size, RL_PLAIN, RL_INK_90, RL_LEFT},
             "no title contains that; Escape lists all");
  }
}

static void
library_draw(const RlScene *const s)
{
  const RlLayout *const l = s->layout;
  rl_fill_box(&s->paint, rl_rect_inset(l->library, -4), 8, RL_INK_TOOTH);
  for (int i = 0; i < l->spots; ++i) {
    if (l->spot[i].action.kind == RL_ACTION_PHRASE_SELECT) {
      row_draw(s, &l->spot[i]);
    } else if (l->spot[i].action.kind == RL_ACTION_FIND) {
      find_draw(s, l->spot[i].at);
    }
  }
}

/* ---- the selected phrase on its bar ---- */

static void
preview_draw(const RlScene *const s)
{
  const RlView view   = rl_lane_preview(s->view);
  RlLayout     layout = *s->layout;
  layout.lane         = s->layout->preview;
  rl_draw_lane(&(RlScene){s->paint, &view, &layout});
}

static void
octaves_write(const RlLane *const lane, RlText *const text)
{
  const int by = lane->notes ? lane->note[0].tab.octaves : 0;
  if (by) {
    rl_text_add(text, text->used ? "; " : "");
    rl_text_add(text, by == 1 || by == -1 ? "an octave " : "two octaves or more ");
    rl_text_add(text, by > 0 ? "higher" : "lower");
  }
}

static void
count_write(const int count, const char *const one, const char *const more, RlText *const text)
{
  if (count) {
    rl_text_add(text, text->used ? "; " : "");
    rl_text_add_int(text, count);
    rl_text_add(text, count == 1 ? one : more);
  }
}

/* What is not sure of its notes, and what was changed to make the phrase playable here, in words.
 */
static void
changes_draw(const RlScene *const s, const RlRect box)
{
  const RlView *const v = s->view;
  char                words[RL_REASON_MAX];
  RlText              text = rl_text_in(words, sizeof(words));
  count_write(rl_view_perhaps(v), " note marked ? is perhaps none",
              " notes marked ? are perhaps none", &text);
  octaves_write(v->phrases.lane, &text);
  count_write(v->phrases.followed, " note changed to fit the chord",
              " notes changed to fit the chord", &text);
  count_write(v->phrases.lane->replaced, " note replaced (hollow) or left out",
              " notes replaced (hollow) or left out", &text);
  rl_text_add(&text, words[0] ? "" : "every note as it is in the phrase");
  rl_text_add(&text, v->phrases.unheard ? "; of its sound no picture is kept any more" : "");
  rl_write(&s->paint, box, (RlStyle){s->layout->value, RL_PLAIN, RL_INK_ON_NEXT, RL_LEFT}, words);
}

/* What was left out of its tune, and its own remark (N: in ABC), with the key that it speaks of. */
static void
remark_write(const RlView *const v, RlText *const text)
{
  const RlSlice remark = rl_abc_field_value(rl_plan_tune(v->phrases.plan, 0), 'N');
  rl_text_add(text, v->phrases.left_out ? v->phrases.left_out : "");
  rl_text_add(text, v->phrases.left_out ? ". " : "");
  if (remark.length && v->phrases.home) {
    rl_text_add(text, "As written, in ");
    rl_music_signs(v->phrases.home, text);
    rl_text_add(text, ": ");
  }
  rl_text_add_slice(text, remark);
}

/* On which harps the phrase is easiest, what was left out of its tune, and its own notes (N: in
   ABC). */
static void
notes_draw(const RlScene *const s, RlRect box)
{
  const RlView *const v    = s->view;
  const double        size = s->layout->value;
  char                words[RL_REASON_MAX];
  RlText              text  = rl_text_in(words, sizeof(words));
  const RlStyle       quiet = {size, RL_PLAIN, RL_INK_QUIET, RL_LEFT};
  for (int i = 0; i < v->phrases.best_count; ++i) {
    char   key[RL_NAME_SIZE];
    RlText name = rl_text_in(key, sizeof(key));
    rl_key_write(rl_key_named(v->phrases.best[i].key, false), &name);
    rl_text_add(&text, i ? ", then " : "Easiest there on a harp in ");
    rl_music_signs(key, &text);
  }
  if (box.h < size * 1.4) {
    return;
  }
  rl_write_lines(&s->paint, rl_rect_cut_top(&box, fmin(box.h, size * 2.8)), quiet, words,
                 box.h > size * 2.8 ? 2 : 1);
  text = rl_text_in(words, sizeof(words));
  remark_write(v, &text);
  if (words[0] && box.h > size * 1.4) {
    rl_write_lines(&s->paint, box, quiet, words, box.h > size * 2.8 ? 2 : 1);
  }
}

/* A way to take it: how, what it costs, its tab. */
static void
way_draw(const RlScene *const s, const RlSpot *const spot)
{
  const RlView *const v    = s->view;
  const RlWay *const  way  = &v->phrases.way[spot->action.value];
  const double        size = s->layout->value;
  RlRect              box  = rl_rect_inset(spot->at, fmin(6, spot->at.h / 8));
  char                words[RL_WORDS_SIZE], cost[RL_WORDS_SIZE];
  RlText              how   = rl_text_in(words, sizeof(words));
  RlText              costs = rl_text_in(cost, sizeof(cost));
  rl_way_words(way, rl_spelling_class(rl_view_key(v).tonic), &how);
  rl_way_cost_words(way, &costs);
  rl_edge_box(&s->paint, spot->at, fmin(8, spot->at.h / 4), 2, RL_INK_EDGE);
  const bool two = box.h > size * 2.2;
  RlRect     top = two ? rl_rect_cut_top(&box, box.h / 2) : rl_rect_cut_left(&box, box.w * 0.7);
  rl_write(&s->paint, rl_rect_cut_left(&top, top.w * 0.56),
           (RlStyle){size, RL_BOLD, RL_INK_TEXT, RL_LEFT}, words);
  rl_write(&s->paint, top, (RlStyle){size * 0.9, RL_PLAIN, RL_INK_ON_NEXT, RL_RIGHT}, cost);
  rl_rect_cut_left(&box, two ? 0 : size / 2);
  rl_write(&s->paint, box, (RlStyle){size * 0.9, RL_PLAIN, RL_INK_QUIET, RL_LEFT},
           v->phrases.way_tab[spot->action.value]);
}

static void
ways_draw(const RlScene *const s)
{
  for (int i = 0; i < s->layout->spots; ++i) {
    if (s->layout->spot[i].action.kind == RL_ACTION_WAY_TAKE) {
      way_draw(s, &s->layout->spot[i]);
    }
  }
}

static const char *
typing_words(const RlView *const v)
{
  return v->edit.kind == RL_EDIT_REMARK
           ? "Type a remark: Enter keeps it, Escape leaves it as it is."
         : v->edit.kind == RL_EDIT_FEEL ? "Type a feel: Enter keeps it, Escape leaves it as it is."
         : v->phrases.just_kept ? "Kept. Type a title: Enter keeps it, Escape leaves it as it is."
                                : "Type a title: Enter keeps it, Escape leaves it as it is.";
}

/* What the open panel is for. */
static const char *
panel_words(const RlScene *const s)
{
  const RlView *const v      = s->view;
  const int           at     = v->phrases.selected;
  const bool          lent   = at >= 0 && at < rl_view_phrases(v) && !rl_view_phrase_is_own(v, at);
  const char *const   copied = s->layout->shape == RL_SHAPE_TALL
                                 ? "It comes along: a copy is changed."
                                 : "It comes along with Reedlamp: a copy in your folder is changed.";
  const char *const   keys =
    s->layout->shape == RL_SHAPE_FULL
        ? "Keys: Shift and arrows move it, Ctrl and arrows go to another or change its length; x "
          "delete, i insert, v split, j join, u scoop, Shift-u fall, q next ?, y it is right."
      : s->layout->shape == RL_SHAPE_SMALL ? "Keys: Shift, Ctrl and arrows; x delete, i insert, v "
                                             "split, j join, u scoop, Shift-u fall, q, y."
                                           : "Keys: Shift or Ctrl and arrows, x i v j u U q y.";
  const bool        wide = s->layout->shape == RL_SHAPE_FULL;
  const char *const own =
    wide ? "Your own phrases: ABC, MIDI or sound files in ~/.local/share/reedlamp/phrases."
         : "Your own: ABC, MIDI or sound files in reedlamp/phrases.";
  const char *const hear =
    v->report.rolling ? "The music rolls: stop it to listen."
    : !wide           ? "w plays or stops it, z plays the record."
    : rl_view_lifted(v)
      ? "It sounds on the plugin's output. Keys: w plays or stops it, z plays the record."
      : "It sounds on the plugin's output. Keys: w plays or stops it.";
  const char *const words[RL_PHRASE_PANELS] = {
    [RL_PHRASE_PANEL_PUT]   = own,
    [RL_PHRASE_PANEL_EDIT]  = lent ? copied : keys,
    [RL_PHRASE_PANEL_ABOUT] = lent ? copied : own,
    [RL_PHRASE_PANEL_WAYS] =
      v->phrases.way_count
        ? "Choose one: another harp is set, other notes make a copy. * changed, x left out."
        : own,
    [RL_PHRASE_PANEL_LISTEN] = hear,
    [RL_PHRASE_PANEL_LIST]   = "What goes on this bar, on this harp, by this player.",
  };
  return words[v->phrases.panel];
}

static const char *
foot_words(const RlScene *const s, bool *const wrong)
{
  const RlView *const      v         = s->view;
  static const char *const reading[] = {
    [RL_READ_GOING_ON]  = "The phrases are being read.",
    [RL_READ_NO_ANSWER] = "The folder of phrases does not answer yet.",
    [RL_READ_NOT_NOW]   = "The phrases cannot be read now: too many files are being waited for, or "
                          "there is not enough memory. Open them again.",
  };
  *wrong = true;
  if (v->edit.error && *v->edit.error) {
    return v->edit.error;
  }
  if (v->phrases.reading > RL_READ_GOING_ON || (v->phrases.reading && !v->phrases.library)) {
    return reading[v->phrases.reading];
  }
  if (v->phrases.library && v->phrases.library->problem[0]) {
    return v->phrases.library->problem;
  }
  *wrong = false;
  return rl_view_types_phrase(v) ? typing_words(v) : panel_words(s);
}

void
rl_draw_phrases(const RlScene *const s)
{
  const RlView *const   v    = s->view;
  const RlLayout *const l    = s->layout;
  const double          head = l->shape == RL_SHAPE_FULL ? 26 : l->value;
  bool                  wrong;
  const char *const     foot = foot_words(s, &wrong);
  rl_write(&s->paint, l->head, (RlStyle){head, RL_BOLD, RL_INK_TEXT, RL_LEFT}, "Phrases");
  if (!*v->problem) { /* else it stands there */
    rl_write_lines(&s->paint, l->problem,
                   (RlStyle){l->value * 0.94, RL_PLAIN, wrong ? RL_INK_90 : RL_INK_QUIET, RL_LEFT},
                   foot, 2);
  }
  if (!v->phrases.library) {
    return;
  }
  library_draw(s);
  ways_draw(s);
  if (v->phrases.selected >= 0 && v->form && v->phrases.plan->planned_count) {
    preview_draw(s);
    if (l->phrase_typing.w > 0 && v->edit.input) {
      rl_draw_typing(s, l->phrase_typing, l->value);
    }
    notes_draw(s, l->about);
    rl_draw_strip(s);
    if (l->changes.h > 0) {
      changes_draw(
        s, (RlRect){l->changes.x, l->changes.y + l->value / 3, l->changes.w, l->value * 1.5});
    }
  }
}
