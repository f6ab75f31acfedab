/* SPDX-License-Identifier: ISC */
#include "ui/draw/controls.h"

#include "ui/draw/trainer.h"
#include "ui/draw/typing.h"
#include "ui/model/fields.h"

#include <math.h>
#include <string.h>

static const char *const labels[RL_ACTIONS] = {
  [RL_ACTION_CHART_TEXT]    = "edit chart",
  [RL_ACTION_EDIT_KEEP]     = "keep",
  [RL_ACTION_BAR_INSERT]    = "insert after",
  [RL_ACTION_BAR_DELETE]    = "delete bar",
  [RL_ACTION_EDIT_CANCEL]   = "cancel",
  [RL_ACTION_STAGE]         = "stage",
  [RL_ACTION_SETTINGS]      = "settings",
  [RL_ACTION_HARPS]         = "which harp?",
  [RL_ACTION_NOTE_NAMES]    = "note names",
  [RL_ACTION_BAR_ONE]       = "bar one is now",
  [RL_ACTION_TAP]           = "tap",
  [RL_ACTION_STOP]          = "stop",
  [RL_ACTION_PHRASES]       = "phrases",
  [RL_ACTION_PHRASE_BAR]    = "bar",
  [RL_ACTION_PHRASE_MOVE]   = "moved",
  [RL_ACTION_PHRASE_PUT]    = "put on bar",
  [RL_ACTION_BAR_CLEAR]     = "clear bar",
  [RL_ACTION_PLAN_TEXT]     = "plan as text",
  [RL_ACTION_CAPTURE]       = "write down",
  [RL_ACTION_BARS_LIFT]     = "",
  [RL_ACTION_PRACTICE]      = "practice",
  [RL_ACTION_KEEP_LAST]     = "keep last",
  [RL_ACTION_NOTE_SELECT]   = "note",
  [RL_ACTION_NOTE_UNSURE]   = "next ?",
  [RL_ACTION_NOTE_EDIT]     = "",
  [RL_ACTION_TAKE_KEEP]     = "keep",
  [RL_ACTION_TAKE_DISCARD]  = "discard",
  [RL_ACTION_SHEET]         = "lesson sheet",
  [RL_ACTION_CHARTS]        = "charts",
  [RL_ACTION_CHARTS_PLACE]  = "",
  [RL_ACTION_CHART_OPEN]    = "open",
  [RL_ACTION_CHART_SAVE]    = "save",
  [RL_ACTION_CHART_SAVE_AS] = "save as",
  [RL_ACTION_CHART_NEW]     = "new chart",
  [RL_ACTION_CHARTS_ANSWER] = "",
  [RL_ACTION_HALF_TIME]     = "tempo ½",
  [RL_ACTION_DOUBLE_TIME]   = "tempo ×2",
  [RL_ACTION_PHRASE_PANEL]  = "",
  [RL_ACTION_HEAR]          = "play the phrase",
  [RL_ACTION_HEAR_RECORD]   = "play the record",
  [RL_ACTION_HEAR_BOTH]     = "both in turn",
  [RL_ACTION_HEAR_SPEED]    = "speed",
  [RL_ACTION_HEAR_STOP]     = "silence",
  [RL_ACTION_HEAR_WAY]      = "listen",
  [RL_ACTION_PHRASE_TITLE]  = "title",
  [RL_ACTION_PHRASE_REMARK] = "remark",
  [RL_ACTION_PHRASE_FEEL]   = "feel",
  [RL_ACTION_PHRASE_OVER]   = "any chord",
  [RL_ACTION_PHRASE_HARD]   = "difficulty",
  [RL_ACTION_PHRASE_COPY]   = "copy",
  [RL_ACTION_PHRASE_DELETE] = "delete phrase",
  [RL_ACTION_LIST_ORDER]    = "",
  [RL_ACTION_LIST_OVER]     = "",
  [RL_ACTION_LIST_LENGTH]   = "",
  [RL_ACTION_LIST_HARD]     = "",
  [RL_ACTION_UNDO]          = "undo",
  [RL_ACTION_REDO]          = "redo",
  [RL_ACTION_TRAINER]       = "bends",
  [RL_ACTION_AIM_MISSED]    = "missed most",
  [RL_ACTION_AIM_TEMPER]    = "tempered reeds",
};

static const char *const places[RL_CHARTS_PLACES] = {
  [RL_CHARTS_RECENT]  = "recent",
  [RL_CHARTS_OWN]     = "my charts",
  [RL_CHARTS_PRESETS] = "presets",
  [RL_CHARTS_BESIDE]  = "same folder",
};

static const char *const panels[RL_PHRASE_PANELS] = {
  [RL_PHRASE_PANEL_EDIT] = "edit",        [RL_PHRASE_PANEL_ABOUT] = "title, tags",
  [RL_PHRASE_PANEL_WAYS] = "make it fit", [RL_PHRASE_PANEL_LISTEN] = "listen",
  [RL_PHRASE_PANEL_LIST] = "list",
};

static const char *const answers[] = {
  [RL_CHARTS_SAVE_FIRST] = "save first",  [RL_CHARTS_OPEN_ANYWAY] = "open anyway",
  [RL_CHARTS_SAVE_OVER] = "save over it", [RL_CHARTS_SAVE_AGAIN] = "save it there again",
  [RL_CHARTS_SAVE_NAME] = "save",         [RL_CHARTS_OTHER_NAME] = "another name",
  [RL_CHARTS_CANCEL] = "cancel",
};

/* The label of the record button: what it does, or how the recording goes. */
static void
capture_words(const RlView *const v, RlText *const text)
{
  const int notes = v->report.taking - 2;
  if (notes < 0) {
    rl_text_add(text, v->report.taking ? "listening" : labels[RL_ACTION_CAPTURE]);
  } else {
    rl_text_add_int(text, notes);
    rl_text_add(text, notes == 1 ? " note" : " notes");
  }
}

/* The bars that would be written down: `write down 3–6`. */
static void
chosen_words(const RlView *const v, RlText *const text)
{
  int first, last;
  rl_view_chosen(v, &first, &last);
  rl_text_add(text, "write down ");
  rl_text_add_int(text, first + 1);
  if (last > first) {
    rl_text_add(text, "–");
    rl_text_add_int(text, last + 1);
  }
}

static void
phrases_words(const RlView *const v, RlText *const text)
{
  const int takes = v->phrases.takes ? v->phrases.takes->phrase_count : 0;
  rl_text_add(text, labels[RL_ACTION_PHRASES]);
  if (takes) {
    rl_text_add(text, " +");
    rl_text_add_int(text, takes);
  }
}

/* The label of a button of the list: what it lists now. */
static void
list_words(const RlViewList *const list, const RlActionKind kind, RlText *const text)
{
  static const char *const orders[RL_LIST_ORDERS] = {"as they lie", "by title", "shortest first",
                                                     "easiest first"};
  static const char *const hard[] = {"any difficulty", "easy here", "easy or medium",
                                     "that sit here"};
  if (kind == RL_ACTION_LIST_ORDER) {
    rl_text_add(text, orders[list->order]);
  } else if (kind == RL_ACTION_LIST_OVER) {
    rl_text_add(text, list->over ? "over this bar's chord" : "over any chord");
  } else if (kind == RL_ACTION_LIST_HARD) {
    rl_text_add(text, hard[list->hard]);
  } else if (list->length) {
    rl_text_add_int(text, list->length);
    rl_text_add(text, list->length == 1 ? " bar at most" : " bars at most");
  } else {
    rl_text_add(text, "any length");
  }
}

/* The label of a button of the selected phrase that says how it stands. */
static void
phrase_words(const RlView *const v, const RlAction d, RlText *const text)
{
  const RlAbcTags   tags = v->phrases.tags;
  const char *const says = d.kind == RL_ACTION_PHRASE_PANEL ? panels[d.value]
                           : d.kind == RL_ACTION_PHRASE_OVER
                             ? rl_abc_over_name((RlAbcOver)tags.over)
                             : rl_abc_hard_name(tags.hard);
  rl_text_add(text, *says ? says : labels[d.kind]);
}

/* What sounds, and how fast. */
static const char *
hear_words(const RlView *const v, const RlAction d)
{
  static const char *const speeds[RL_SPEEDS] = {"full speed", "¾ speed", "½ speed"};
  const bool               take              = rl_view_is_take(v, v->phrases.selected);
  return d.kind == RL_ACTION_HEAR_SPEED     ? speeds[v->phrases.speed]
         : d.kind == RL_ACTION_HEAR && take ? "play the take"
                                            : labels[d.kind];
}

/* Does it lead back to the music from the screen that it has opened? */
static bool
leads_back(const RlView *const v, const RlAction d)
{
  return (d.kind == RL_ACTION_HARPS && v->screen == RL_SCREEN_HARPS) ||
         (d.kind == RL_ACTION_SETTINGS && v->screen == RL_SCREEN_SETTINGS) ||
         (d.kind == RL_ACTION_CHARTS && v->screen == RL_SCREEN_CHARTS) ||
         (d.kind == RL_ACTION_PRACTICE && v->screen == RL_SCREEN_PRACTICE) ||
         (d.kind == RL_ACTION_TRAINER && v->screen == RL_SCREEN_TRAINER) ||
         (d.kind == RL_ACTION_PHRASES && v->screen == RL_SCREEN_PHRASES);
}

/* Writes how it stands on a button of the list or of the selected phrase; false for all others. */
static bool
stands_write(const RlView *const v, const RlAction d, RlText *const text)
{
  const bool list = d.kind >= RL_ACTION_LIST_ORDER && d.kind <= RL_ACTION_LIST_HARD;
  const bool its  = d.kind == RL_ACTION_PHRASE_PANEL || d.kind == RL_ACTION_PHRASE_OVER ||
                   d.kind == RL_ACTION_PHRASE_HARD;
  const bool hear = d.kind >= RL_ACTION_HEAR && d.kind <= RL_ACTION_HEAR_WAY;
  if (list) {
    list_words(&v->phrases.list, d.kind, text);
  } else if (its) {
    phrase_words(v, d, text);
  } else if (hear) {
    rl_text_add(text, hear_words(v, d));
  }
  return list || its || hear;
}

/* The label of a button on this screen. */
static void
button_words(const RlView *const v, const RlAction d, RlText *const text)
{
  const bool back = leads_back(v, d);
  if (stands_write(v, d, text)) {
    return;
  }
  switch (d.kind) {
  case RL_ACTION_PHRASE_MOVE:
    rl_text_add(text, rl_move_name((RlMove)v->phrases.planned.move));
    return;
  case RL_ACTION_CAPTURE:
    capture_words(v, text);
    return;
  case RL_ACTION_BARS_LIFT:
    chosen_words(v, text);
    return;
  case RL_ACTION_SHEET:
    rl_text_add(text, v->drawing_sheet ? "drawing" : labels[d.kind]);
    return;
  case RL_ACTION_CHARTS_PLACE:
    rl_text_add(text, places[d.value]);
    return;
  case RL_ACTION_AIM_TEMPER:
    rl_text_add(text, v->trainer.temper == RL_JUST ? "just reeds" : labels[d.kind]);
    return;
  case RL_ACTION_CHARTS_ANSWER:
    rl_text_add(text, answers[d.value]);
    return;
  case RL_ACTION_PHRASES:
    if (!back) {
      phrases_words(v, text);
      return;
    }
    break;
  default:
    break;
  }
  rl_text_add(text, back                                              ? "back"
                    : d.kind == RL_ACTION_NOTE_NAMES && v->note_names ? "degrees"
                                                                      : labels[d.kind]);
  if (d.kind == RL_ACTION_PHRASE_BAR || d.kind == RL_ACTION_NOTE_SELECT) {
    rl_text_add(text, d.value < 0 ? " before" : " after");
  } else if (d.kind == RL_ACTION_NOTE_EDIT) {
    rl_text_add(text, rl_note_edit_name((RlNoteEdit)d.value));
  } else if (d.kind == RL_ACTION_PHRASE_PUT || d.kind == RL_ACTION_BAR_CLEAR) {
    rl_text_add(text, " ");
    rl_text_add_int(text, v->phrases.planned.bar);
  }
}

/* Does the button do anything now? Only the player's clock can be stopped, and only what was
   changed undone. */
static bool
usable(const RlView *const v, const RlActionKind kind)
{
  const bool taps = v->port[RL_PORT_CLOCK] > 0;
  return !(kind == RL_ACTION_STOP && !taps) &&
         !(kind == RL_ACTION_TAP && !taps && rl_view_placed(v)) &&
         !(kind == RL_ACTION_AIM_MISSED && !v->trainer.missed) &&
         !(kind == RL_ACTION_HEAR_STOP && !v->report.sounds) &&
         !((kind == RL_ACTION_HEAR || kind == RL_ACTION_HEAR_RECORD ||
            kind == RL_ACTION_HEAR_BOTH || kind == RL_ACTION_HEAR_WAY) &&
           v->report.rolling) &&
         !(kind == RL_ACTION_UNDO && !v->undo) && !(kind == RL_ACTION_REDO && !v->redo);
}

static void
focus_draw(const RlScene *const s, const int spot, const double radius)
{
  const RlSpot *const at = &s->layout->spot[spot];
  const bool stage       = at->action.kind == RL_ACTION_STAGE && s->view->screen == RL_SCREEN_STAGE;
  if (spot == s->view->focus && !stage) {
    rl_edge_box(&s->paint, rl_rect_inset(at->at, -2), radius + 2, 3, RL_INK_TEXT);
  }
}

static bool
pressed(const RlView *const v, const RlAction action)
{
  return v->pressed.kind == action.kind && v->pressed.value == action.value;
}

/* Does what the button began go on, or is it in force? */
static bool
at_work(const RlView *const v, const RlAction d)
{
  return (d.kind == RL_ACTION_CAPTURE && v->report.taking) ||
         (d.kind == RL_ACTION_SHEET && v->drawing_sheet) ||
         (d.kind == RL_ACTION_CHARTS_PLACE && d.value == (int)v->charts.place) ||
         (d.kind == RL_ACTION_PHRASE_PANEL && d.value == (int)v->phrases.panel);
}

static void
button_draw(const RlScene *const s, const RlSpot *const spot)
{
  const bool   down = pressed(s->view, spot->action) || at_work(s->view, spot->action);
  const bool   on   = usable(s->view, spot->action.kind);
  const double r    = fmin(8, spot->at.h / 4);
  const RlInk  ink  = down ? RL_INK_ON_LIGHT : on ? RL_INK_TEXT : RL_INK_QUIET;
  char         words[RL_WORDS_SIZE];
  RlText       text = rl_text_in(words, sizeof(words));
  button_words(s->view, spot->action, &text);
  if (down) {
    rl_fill_box(&s->paint, spot->at, r, RL_INK_90);
  } else {
    rl_edge_box(&s->paint, spot->at, r, on ? 2 : 1, on ? RL_INK_EDGE : RL_INK_BAR_LINE);
  }
  rl_write(&s->paint, rl_rect_inset(spot->at, fmin(6, spot->at.h / 6)),
           (RlStyle){s->layout->value, on, ink, RL_MIDDLE}, words);
}

static void
field_draw(const RlScene *const s, const RlSpot *const spot)
{
  const RlLayout *const l = s->layout;
  char                  words[RL_WORDS_SIZE];
  RlText                text = rl_text_in(words, sizeof(words));
  RlRect                box  = rl_rect_inset(spot->at, fmin(8, spot->at.h / 7));
  const bool            down = pressed(s->view, spot->action);
  rl_field_value(s->view, (RlField)spot->action.value, &text);
  rl_fill_box(&s->paint, spot->at, fmin(8, spot->at.h / 4), down ? RL_INK_RAIL : RL_INK_TOOTH);
  rl_write(&s->paint, rl_rect_cut_top(&box, box.h * 0.45),
           (RlStyle){l->label, RL_PLAIN, RL_INK_QUIET, RL_LEFT},
           rl_field_title(s->view, (RlField)spot->action.value));
  rl_write(&s->paint, box, (RlStyle){l->value, RL_BOLD, RL_INK_TEXT, RL_LEFT}, words);
}

void
rl_draw_problem(const RlScene *const s)
{
  const RlRect  box   = s->layout->problem;
  const RlStyle style = {s->layout->value * 0.94, RL_PLAIN, RL_INK_ON_NEXT, RL_LEFT};
  const bool    shown = s->view->screen == RL_SCREEN_TRAINER ? rl_trainer_tells_problem(s->view)
                                                             : s->view->screen != RL_SCREEN_TEXT;
  if (*s->view->problem && box.w > 0 && shown) {
    rl_fill_box(&s->paint, box, 8, RL_INK_NEXT_FILL);
    rl_write_lines(&s->paint, rl_rect_inset(box, fmin(6, box.h / 8)), style, s->view->problem,
                   box.h > 60 ? 3 : 2);
  }
}

void
rl_draw_notice(const RlScene *const s)
{
  const RlRect  box   = s->layout->notice;
  const RlStyle style = {s->layout->value, RL_PLAIN, RL_INK_TEXT, RL_LEFT};
  if (box.w > 0) {
    rl_fill_box(&s->paint, box, 10, RL_INK_RAIL);
    rl_edge_box(&s->paint, box, 10, 2, RL_INK_90);
    rl_write_lines(&s->paint, rl_rect_inset(box, style.size * 0.6), style, s->view->notice,
                   box.h > style.size * 6 ? 5 : 3);
  }
}

void
rl_draw_controls(const RlScene *const s, const int from, const int to)
{
  for (int i = from; i < to; ++i) {
    const RlSpot *const spot = &s->layout->spot[i];
    const RlActionKind  d    = spot->action.kind;
    if (!rl_paint_wants(&s->paint, rl_rect_inset(spot->at, -6))) {
      continue;
    }
    if (d == RL_ACTION_FIELD_OPEN) {
      field_draw(s, spot);
    } else if (labels[d] && !(d == RL_ACTION_CHARTS && s->view->screen == RL_SCREEN_PLAY) &&
               !(d == RL_ACTION_STAGE && s->view->screen == RL_SCREEN_STAGE)) {
      button_draw(s, spot);
    }
    if (d != RL_ACTION_CARET) {
      focus_draw(s, i, 8);
    }
  }
}

void
rl_draw_list(const RlScene *const s)
{
  const RlView *const   v = s->view;
  const RlLayout *const l = s->layout;
  if (v->edit.list == RL_NO_FIELD) {
    return;
  }
  const RlField field = (RlField)v->edit.list;
  RlRect        box   = rl_rect_inset(l->list, 10);
  const bool    wrong = v->edit.error && *v->edit.error;
  char          head[RL_WORDS_SIZE];
  RlText        text = rl_text_in(head, sizeof(head));
  rl_field_head(v, field, &text);
  rl_fill_box(&s->paint, l->list, 12, RL_INK_RAIL);
  rl_edge_box(&s->paint, l->list, 12, 2, RL_INK_EDGE);
  rl_write(&s->paint, rl_rect_cut_top(&box, l->value * 1.3),
           (RlStyle){l->value, RL_BOLD, RL_INK_TEXT, RL_LEFT}, wrong ? v->edit.error : head);
  if (l->list_typing.w > 0 && v->edit.input) {
    rl_draw_typing(s, l->list_typing, l->value);
  }
  for (int i = 0; i < l->spots; ++i) {
    const RlSpot *const spot = &l->spot[i];
    if (spot->action.kind == RL_ACTION_FIELD_CHOOSE) {
      char       words[RL_WORDS_SIZE];
      const bool chosen = rl_field_chosen(v, field) == spot->action.value;
      text              = rl_text_in(words, sizeof(words));
      rl_field_entry(v, field, spot->action.value, &text);
      rl_fill_box(&s->paint, spot->at, 8, chosen ? RL_INK_90 : RL_INK_TOOTH);
      rl_write(&s->paint, rl_rect_inset(spot->at, 5),
               (RlStyle){l->value, RL_BOLD, chosen ? RL_INK_ON_LIGHT : RL_INK_TEXT, RL_MIDDLE},
               words);
      focus_draw(s, i, 8);
    }
  }
}
