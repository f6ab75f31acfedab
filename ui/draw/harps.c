/* SPDX-License-Identifier: ISC */
#include "ui/draw/harps.h"

#include "ui/draw/hearing.h"
#include "ui/model/fields.h"
#include "ui/model/music_signs.h"

#include <math.h>

static void
key_words(const int key, char words[RL_WORDS_SIZE])
{
  char   name[RL_NAME_SIZE];
  RlText ascii = rl_text_in(name, sizeof(name));
  RlText text  = rl_text_in(words, RL_WORDS_SIZE);
  rl_key_write(rl_key_named(key, false), &ascii);
  rl_music_signs(name, &text);
}

/* `Richter, low register`. */
static void
harp_words(const RlHarpChoice choice, RlText *const text)
{
  static const char *const registers[] = {", low register", ", standard register",
                                          ", high register"};
  rl_text_add(text, rl_tuning_name(choice.tuning));
  rl_text_add(text, registers[choice.range + 1]);
}

static void
tick_draw(const RlScene *const s, const RlRect b)
{
  cairo_t *const cr = s->paint.cr;
  const double   k  = b.h / 76;
  const double   x  = b.x + b.w - 30 * k;
  const double   y  = b.y + b.h / 2;
  cairo_move_to(cr, x, y);
  cairo_line_to(cr, x + 7 * k, y + 8 * k);
  cairo_line_to(cr, x + 19 * k, y - 8 * k);
  rl_set_ink(&s->paint, RL_INK_ON_LIGHT, 1);
  cairo_set_line_width(cr, 4 * k);
  cairo_set_line_cap(cr, CAIRO_LINE_CAP_ROUND);
  cairo_set_line_join(cr, CAIRO_LINE_JOIN_ROUND);
  cairo_stroke(cr);
}

static void
owned_draw(const RlScene *const s, const RlSpot *const spot)
{
  const bool   has = s->view->harps.owned >> spot->action.value & 1;
  const RlRect b   = spot->at;
  char         words[RL_WORDS_SIZE];
  key_words(spot->action.value, words);
  if (has) {
    rl_fill_box(&s->paint, b, 0.16 * b.h, RL_INK_90);
    tick_draw(s, b);
  } else {
    rl_edge_box(&s->paint, b, 0.16 * b.h, 2, RL_INK_EDGE);
  }
  rl_write(&s->paint, (RlRect){b.x + b.w * 0.14, b.y, b.w * 0.5, b.h},
           (RlStyle){b.h * 0.45, RL_BOLD, has ? RL_INK_ON_LIGHT : RL_INK_QUIET, RL_LEFT}, words);
}

static void
percent(const float share, const char *const what, char words[RL_WORDS_SIZE])
{
  RlText text = rl_text_in(words, RL_WORDS_SIZE);
  rl_text_add_int(&text, lroundf(100 * share));
  rl_text_add(&text, " % ");
  rl_text_add(&text, what);
}

/* A bar of two parts: chord tones without bends, and what bends add. */
static void
shares_draw(const RlScene *const s, RlRect b, const RlFinding *const f, const RlInk ink)
{
  char         words[RL_WORDS_SIZE];
  const double size = s->layout->value;
  const RlRect bar  = {b.x, b.y + b.h * 0.2, b.w, b.h * 0.2};
  const RlRect foot = {b.x, b.y + b.h * 0.42, b.w, b.h * 0.56};
  cairo_save(s->paint.cr);
  rl_path_box(&s->paint, bar, bar.h / 2);
  cairo_clip(s->paint.cr);
  rl_fill_box(&s->paint, (RlRect){bar.x, bar.y, bar.w * (double)f->bent, bar.h}, 0, RL_INK_50);
  rl_fill_box(&s->paint, (RlRect){bar.x, bar.y, bar.w * (double)f->plain, bar.h}, 0, ink);
  cairo_restore(s->paint.cr);
  rl_edge_box(&s->paint, bar, bar.h / 2, 1.5, RL_INK_EDGE);
  percent(f->plain, "plain", words);
  rl_write(&s->paint, (RlRect){foot.x, foot.y, foot.w * 0.44, foot.h},
           (RlStyle){size, RL_BOLD, RL_INK_TEXT, RL_LEFT}, words);
  percent(f->bent, "with bends", words);
  rl_write(&s->paint, (RlRect){foot.x + foot.w * 0.46, foot.y, foot.w * 0.54, foot.h},
           (RlStyle){size, RL_BOLD, RL_INK_TEXT, RL_RIGHT}, words);
}

/* The blue notes of the key, and in how many places the harp has each. */
static void
blues_draw(const RlScene *const s, RlRect b, const RlFinding *const f)
{
  const double w = b.w / RL_BLUE_MAX;
  for (int i = 0; i < f->blues; ++i) {
    char         name[RL_WORDS_SIZE], count[RL_WORDS_SIZE];
    RlText       pretty = rl_text_in(name, sizeof(name));
    RlText       number = rl_text_in(count, sizeof(count));
    RlRect       box    = {b.x + i * w, b.y + b.h * 0.14, w - 14, b.h * 0.5};
    const RlRect under  = {box.x, box.y + box.h + 2, box.w, b.h * 0.26};
    rl_music_signs(rl_degree_name(f->blue[i].degree), &pretty);
    rl_text_add_int(&number, f->blue[i].places);
    rl_glass_box(&s->paint, box, 9, RL_INK_BLUE, RL_INK_BLUE_EDGE);
    rl_set_ink(&s->paint, RL_INK_DROP, 1);
    cairo_arc(s->paint.cr, box.x + box.w - 2, box.y + box.h - 2, 5, 0, 6.2832);
    cairo_fill(s->paint.cr);
    rl_write(&s->paint, rl_rect_inset(box, 4),
             (RlStyle){box.h * 0.5, RL_BOLD, RL_INK_ON_BLUE, RL_MIDDLE}, name);
    rl_write(&s->paint, under, (RlStyle){s->layout->value * 0.9, RL_PLAIN, RL_INK_QUIET, RL_MIDDLE},
             count);
  }
}

/* `raise the recording 2 half steps for 2nd position`. */
static void
shift_words(const int by, const char *const then, RlText *const text)
{
  rl_text_add(text, by < 0 ? "lower the recording " : "raise the recording ");
  rl_text_add_int(text, by < 0 ? -by : by);
  rl_text_add(text, by == 1 || by == -1 ? " half step for " : " half steps for ");
  rl_text_add(text, then);
  rl_text_add(text, " position");
}

/* The position a harp comes to stand in when the recording is moved. */
static const char *
moved_position(const RlView *const v, const RlFinding *const f)
{
  const int tonic = rl_spelling_class(rl_view_key(v).tonic);
  return rl_position_name(rl_harp_position(f->choice.key, rl_pitch_class(tonic + f->shift)));
}

static void
finding_draw(const RlScene *const s, const RlSpot *const spot)
{
  const RlView *const    v    = s->view;
  const RlFinding *const f    = &v->harps.ranked[spot->action.value];
  const RlHarpChoice     mine = rl_view_harp(v);
  const bool             in_use =
    f->choice.key == mine.key && f->choice.range == mine.range && f->choice.tuning == mine.tuning;
  const bool   wide = s->layout->shape == RL_SHAPE_FULL;
  const double h    = spot->at.h;
  char         words[RL_REASON_MAX];
  RlRect       box = rl_rect_inset(spot->at, h * 0.05);
  rl_fill_box(&s->paint, spot->at, h * 0.14, RL_INK_TOOTH);
  if (in_use) {
    rl_edge_box(&s->paint, spot->at, h * 0.14, 3, RL_INK_90);
  }
  box.x += h * 0.2;
  box.w -= h * 0.3;
  key_words(f->choice.key, words);
  rl_write(&s->paint, rl_rect_cut_left(&box, wide ? 92 : 44),
           (RlStyle){h * 0.5, RL_BOLD, in_use ? RL_INK_100 : RL_INK_TEXT, RL_LEFT}, words);
  RlRect use = rl_rect_cut_right(&box, wide ? 76 : 50);
  use        = (RlRect){use.x, use.y + h * 0.2, use.w, h * 0.5};
  if (in_use) {
    rl_fill_box(&s->paint, use, 8, RL_INK_90);
  } else {
    rl_edge_box(&s->paint, use, 8, 2, RL_INK_EDGE);
  }
  rl_write(&s->paint, rl_rect_inset(use, wide ? 4 : 2),
           (RlStyle){s->layout->value, RL_BOLD, in_use ? RL_INK_ON_LIGHT : RL_INK_TEXT, RL_MIDDLE},
           in_use ? "in use" : "use");
  rl_rect_cut_right(&box, 10);
  RlRect place = rl_rect_cut_left(&box, wide ? 196 : 60);
  rl_write(&s->paint, wide ? rl_rect_cut_top(&place, h * 0.5) : place,
           (RlStyle){wide ? 26 : 16, RL_BOLD, in_use ? RL_INK_90 : RL_INK_TEXT, RL_LEFT},
           rl_position_name(f->position));
  if (wide && f->shift && f->score < RL_SCORE_FITS) {
    RlText shift = rl_text_in(words, sizeof(words));
    shift_words(f->shift, moved_position(v, f), &shift);
    place.w -= 8;
    rl_write_lines(&s->paint, place, (RlStyle){15, RL_PLAIN, RL_INK_ON_NEXT, RL_LEFT}, words, 2);
  }
  if (wide) {
    blues_draw(s, rl_rect_cut_right(&box, 180), f);
    rl_rect_cut_right(&box, 32);
  }
  box.y -= wide ? 0 : 2; /* clear of the frame of the harp in use */
  shares_draw(s, box, f, in_use ? RL_INK_90 : RL_INK_70);
}

/* How to transpose the recording if no harp fits, else how to read the list. */
static void
foot_draw(const RlScene *const s)
{
  const RlView *const   v = s->view;
  const RlLayout *const l = s->layout;
  char                  words[RL_REASON_MAX], key[RL_WORDS_SIZE];
  RlText                text = rl_text_in(words, sizeof(words));
  const RlRect          box  = {l->ranking.x, l->h - (l->shape == RL_SHAPE_FULL ? 60 : 40),
                                l->w - l->ranking.x - (l->shape == RL_SHAPE_FULL ? 180 : 96),
                      l->shape == RL_SHAPE_FULL ? 46 : 32};
  const bool            move = v->harps.shift.semitones != 0;
  char                  heard[RL_HEARING_WORDS_SIZE];
  RlText                tuning = rl_text_in(heard, sizeof(heard));
  rl_hearing_tuning(v, &tuning);
  if (*v->problem) {
    rl_write_lines(&s->paint, box, (RlStyle){l->value * 0.94, RL_PLAIN, RL_INK_ON_NEXT, RL_LEFT},
                   v->problem, 2);
    return;
  }
  if (move) {
    key_words(v->harps.shift.then.choice.key, key);
    rl_text_add(&text, "None of them fits well: ");
    shift_words(v->harps.shift.semitones, rl_position_name(v->harps.shift.then.position), &text);
    rl_text_add(&text, " on the ");
    rl_text_add(&text, key);
    rl_text_add(&text, " harp.");
  } else if (tuning.used) {
    rl_text_add(&text, heard);
  } else if (!v->harps.owned) {
    rl_text_add(&text, "Tick the harps you own; until then all twelve are ranked.");
  } else {
    rl_text_add(&text,
                "Plain: chord tones without a bend. Under a blue note: how many ways to play it.");
  }
  rl_write(&s->paint, box,
           (RlStyle){l->value * 0.94, move, move ? RL_INK_ON_NEXT : RL_INK_QUIET, RL_LEFT}, words);
}

static void
heads_draw(const RlScene *const s)
{
  const RlLayout *const l    = s->layout;
  const RlView *const   v    = s->view;
  const bool            wide = l->shape == RL_SHAPE_FULL;
  char                  words[RL_WORDS_SIZE], name[RL_NAME_SIZE];
  RlText                text = rl_text_in(words, sizeof(words));
  RlText                key  = rl_text_in(name, sizeof(name));
  const double          size = wide ? 26 : l->value;
  const RlRect          own  = {l->owned.x + (wide ? 4 : 0), l->owned.y - (wide ? 84 : 22),
                      wide ? 300 : l->owned.w, wide ? 44 : 20};
  const RlRect head = {l->ranking.x, l->ranking.y - (wide ? 76 : 26), l->ranking.w, wide ? 44 : 22};
  rl_write(&s->paint, own, (RlStyle){size, RL_BOLD, RL_INK_TEXT, RL_LEFT}, "Harps I own");
  rl_text_add(&text, "Which harp for ");
  if (v->form && v->form->title.length) {
    rl_text_add_slice(&text, rl_form_text(v->form, v->form->title));
  } else {
    rl_text_add(&text, "this song");
  }
  rl_text_add(&text, " in ");
  rl_key_write(rl_view_key(v), &key);
  rl_music_signs(name, &text);
  rl_text_add(&text, "?");
  rl_write(&s->paint, head, (RlStyle){size, RL_BOLD, RL_INK_TEXT, RL_LEFT}, words);
  if (wide) {
    const RlStyle quiet = {16, RL_PLAIN, RL_INK_QUIET, RL_LEFT};
    text                = rl_text_in(words, sizeof(words));
    harp_words(rl_view_harp(v), &text);
    rl_write(&s->paint, (RlRect){own.x, own.y + 44, own.w, 24}, quiet, words);
    text = rl_text_in(words, sizeof(words));
    rl_text_add(&text, "best first, by position, chord tones and blue notes");
    if (v->harps.count > l->ranks_shown) {
      rl_text_add(&text, "; scroll for all ");
      rl_text_add_int(&text, v->harps.count);
    }
    rl_write(&s->paint, (RlRect){head.x, head.y + 46, head.w, 22}, quiet, words);
    rl_write(&s->paint, (RlRect){own.x, 466, own.w, 32},
             (RlStyle){22, RL_BOLD, RL_INK_TEXT, RL_LEFT}, "How I play");
  }
}

void
rl_draw_harps(const RlScene *const s)
{
  heads_draw(s);
  for (int i = 0; i < s->layout->spots; ++i) {
    const RlSpot *const spot = &s->layout->spot[i];
    if (spot->action.kind == RL_ACTION_HARP_OWN) {
      owned_draw(s, spot);
    } else if (spot->action.kind == RL_ACTION_HARP_USE &&
               spot->action.value < s->view->harps.count) {
      finding_draw(s, spot);
    }
  }
  foot_draw(s);
}
