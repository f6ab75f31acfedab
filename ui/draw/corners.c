/* SPDX-License-Identifier: ISC */
#include "ui/draw/corners.h"

#include "ui/draw/fill.h"
#include "ui/draw/hearing.h"
#include "ui/model/music_signs.h"

#include <assert.h>
#include <math.h>

enum { SEGMENTS_MAX = 12 };

static void
chord_words(const char *const ascii, char words[RL_WORDS_SIZE])
{
  RlText text = rl_text_in(words, RL_WORDS_SIZE);
  rl_music_signs(ascii, &text);
}

/* ---- the wire of the beat ---- */

int
rl_wire_segments(const RlView *const v)
{
  const int beats = (int)ceil(rl_view_felt_beats(v) - 1e-9);
  return !rl_view_placed(v) || v->report.part == RL_PART_OVER ? 0
         : beats > SEGMENTS_MAX                               ? SEGMENTS_MAX
                                                              : beats;
}

/* Rises within 30 ms, then falls to 70 % over the beat, ever more slowly. */
double
rl_wire_level(const RlView *const v, const int i, bool *const sounds)
{
  const double felt    = rl_view_felt(v);
  const double into    = felt - i;
  const double seconds = v->report.tempo > 0 ? into * 60 / v->report.tempo : 1;
  *sounds              = into >= 0 && into < 1;
  if (!*sounds || !v->report.rolling || v->calm) {
    return *sounds ? 0.85 : 0;
  }
  const double rise = fmin(1, seconds / 0.03);
  const double left = (1 - into) * (1 - into);
  return rise * (0.7 + 0.3 * left);
}

/* How wide the glow is: 1.5 on the first beat of a bar, 2 on the first of the form, else 1. */
static double
glow_of(const RlView *const v, const int i)
{
  const bool one = v->report.bar == 1 && v->report.part == RL_PART_CHORUS;
  return i ? 1 : one ? 2 : 1.5;
}

RlRect
rl_wire_at(const RlView *const v, const RlLayout *const l, const int i)
{
  assert(i >= 0);
  const int    n   = rl_wire_segments(v);
  const double h   = l->now.h * 0.085;
  const double gap = h;
  const double w   = (l->now.w - gap * (n - 1)) / (n ? n : 1);
  return (RlRect){l->now.x + i * (w + gap), l->now.y + l->now.h - h, w, h};
}

static void
wire_draw(const RlScene *const s)
{
  const RlView *const v = s->view;
  for (int i = 0; i < rl_wire_segments(v); ++i) {
    const RlRect at = rl_wire_at(v, s->layout, i);
    bool         sounds;
    const double level = rl_wire_level(v, i, &sounds);
    if (!rl_paint_sees(&s->paint, rl_rect_inset(at, -at.h * 3))) {
      continue;
    }
    if (sounds) {
      rl_path_box(&s->paint, rl_rect_inset(at, -0.7 * at.h * glow_of(v, i)), at.h * 2);
      rl_set_ink(&s->paint, RL_INK_GLOW, 0.26 * level);
      cairo_fill(s->paint.cr);
      rl_fill_box(&s->paint, at, at.h / 2, RL_INK_50);
      rl_path_box(&s->paint, at, at.h / 2);
      rl_set_ink(&s->paint, RL_INK_100, level);
      cairo_fill(s->paint.cr);
    } else if (i < rl_view_felt(v)) {
      rl_fill_box(&s->paint, at, at.h / 2, RL_INK_50);
    } else {
      rl_edge_box(&s->paint, at, at.h / 2, at.h / 6, RL_INK_EDGE);
    }
  }
}

/* ---- now ---- */

static void
place_words(const RlView *const v, RlText *const chorus, RlText *const bar)
{
  const RlPlaceReport *const t = &v->report;
  if (t->part == RL_PART_LEAD_IN || t->part == RL_PART_BEFORE) {
    rl_text_add(chorus, t->part == RL_PART_LEAD_IN ? "lead-in" : "before the song");
    rl_text_add_int(bar, -t->bar);
    rl_text_add(bar, t->bar == -1 ? " bar to bar 1" : " bars to bar 1");
  } else if (t->part == RL_PART_ENDING) {
    rl_text_add(chorus, "ending");
    rl_text_add(bar, "bar ");
    rl_text_add_int(bar, t->bar - t->bars);
  } else {
    rl_text_add(chorus, "chorus ");
    rl_text_add_int(chorus, t->chorus);
    rl_text_add(bar, "bar ");
    rl_text_add_int(bar, t->bar);
    rl_text_add(bar, " of ");
    rl_text_add_int(bar, t->bars);
  }
}

/* Before the first chord the beats are counted in: 1, 2, 3, 4. */
static void
name_words(const RlView *const v, char words[RL_WORDS_SIZE])
{
  RlText     text  = rl_text_in(words, RL_WORDS_SIZE);
  const bool count = v->report.part == RL_PART_LEAD_IN || v->report.part == RL_PART_BEFORE;
  if (v->report.now[0]) {
    rl_music_signs(v->report.now, &text);
  } else if (count) {
    rl_text_add_int(&text, (int)floor(rl_view_felt(v)) + 1);
  }
}

/* Does the host not run the plugin, though the music should move or nothing was ever said? */
static bool
stands(const RlView *const v)
{
  return v->silent && (v->report.rolling || !rl_view_placed(v));
}

void
rl_lost_words(const RlView *const v, const char **const first, const char **const second)
{
  static const char *const words[][2] = {
    {"The host stands still:", "press play, or start its audio"},
    {"The song is over", "play it again from its first bar"},
    {NULL, NULL},
    {"Switched off:", "enable the plugin in the host"},
    {"Tap the beat:", "four taps count in"},
    {"The host tells no bars:", "tap the beat instead"},
    {"Press play,", "or tap the beat"},
  };
  const RlPlaceReport *const t       = &v->report;
  const bool                 holds[] = {stands(v),
                                        t->part == RL_PART_OVER,
                                        rl_view_placed(v),
                                        v->told && !t->lit,
                                        v->port[RL_PORT_CLOCK] > 0,
                                        t->rolling,
                                        true};
  int                        i       = 0;
  while (!holds[i]) {
    ++i;
  }
  *first  = words[i][0];
  *second = words[i][1];
  if (rl_view_by_ear(v) && i > 2) {
    rl_hearing_corner(v, first, second);
  }
}

static void
lost_draw(const RlScene *const s, RlRect box, const char *const first, const char *const second)
{
  const bool   over  = s->view->report.part == RL_PART_OVER;
  const RlRect upper = rl_rect_cut_top(&box, box.h / 2);
  const double size  = fmin(upper.h * 0.62, upper.w / 9);
  rl_write(&s->paint, upper, (RlStyle){size, RL_BOLD, RL_INK_TEXT, RL_LEFT}, first);
  rl_write(&s->paint, box,
           (RlStyle){size, over ? RL_PLAIN : RL_BOLD, over ? RL_INK_QUIET : RL_INK_TEXT, RL_LEFT},
           second);
}

/* How much of the corner's width place and degree get beside a name so wide. A wide name takes more
   where it would shrink by a quarter or more. On stage, where it must be read across a room, it
   takes all but a strip where it would still shrink by a seventh. */
static double
side_width(const RlLayout *const l, const double width, const double name)
{
  const double usual = fmax(width * 0.28, fmin(width * 0.38, width - 0.75 * name));
  return l->shape == RL_SHAPE_STAGE ? fmax(width * 0.135, fmin(usual, width - 0.87 * name)) : usual;
}

static void
now_draw(const RlScene *const s)
{
  const RlView *const v   = s->view;
  RlRect              box = s->layout->now;
  char                name[RL_WORDS_SIZE], degree[RL_WORDS_SIZE];
  char                chorus[RL_WORDS_SIZE], bar[RL_WORDS_SIZE];
  RlText              upper = rl_text_in(chorus, sizeof(chorus));
  RlText              lower = rl_text_in(bar, sizeof(bar));
  const char         *first, *second;
  rl_lost_words(v, &first, &second);
  if (first) {
    lost_draw(s, box, first, second);
    return;
  }
  place_words(v, &upper, &lower);
  name_words(v, name);
  chord_words(v->report.now_degree, degree);
  rl_rect_cut_bottom(&box, box.h * 0.2);
  const RlStyle style = {box.h / 0.75, RL_BOLD, RL_INK_TEXT, RL_LEFT};
  RlRect        side =
    rl_rect_cut_right(&box, side_width(s->layout, box.w, rl_write_width(&s->paint, style, name)));
  const double small = box.h * 0.24;
  rl_write(&s->paint, box, style, name);
  rl_write(&s->paint, rl_rect_cut_bottom(&side, small * 1.02),
           (RlStyle){small, RL_BOLD, RL_INK_TEXT, RL_RIGHT}, bar);
  rl_write(&s->paint, rl_rect_cut_bottom(&side, small * 1.2),
           (RlStyle){small, RL_PLAIN, RL_INK_QUIET, RL_RIGHT}, chorus);
  rl_write(&s->paint, side,
           (RlStyle){fmin(box.h * 0.46, side.h * 0.95), RL_BOLD, RL_INK_90, RL_RIGHT}, degree);
  wire_draw(s);
}

/* ---- next ---- */

void
rl_countdown(const RlView *const v, RlText *const number, RlText *const words)
{
  const double left  = rl_view_to_next(v);
  const int    whole = (int)ceil(left - 1e-3);
  rl_text_add_int(number, whole < 1 ? 1 : whole);
  rl_text_add(words, whole <= 1 ? "beat" : "beats");
}

/* The note to land on, as players say it: `4 draw, bend ½`. */
static void
target_words(const RlView *const v, char words[RL_WORDS_SIZE])
{
  const RlTarget *const    t                   = &v->report.target;
  RlText                   text                = rl_text_in(words, RL_WORDS_SIZE);
  static const char *const hows[RL_TECHNIQUES] = {[RL_BLOW]     = " blow",
                                                  [RL_DRAW]     = " draw",
                                                  [RL_BLOW_1]   = " blow, bend ½",
                                                  [RL_BLOW_2]   = " blow, bend 1",
                                                  [RL_BLOW_3]   = " blow, bend 1½",
                                                  [RL_DRAW_1]   = " draw, bend ½",
                                                  [RL_DRAW_2]   = " draw, bend 1",
                                                  [RL_DRAW_3]   = " draw, bend 1½",
                                                  [RL_OVERBLOW] = " overblow",
                                                  [RL_OVERDRAW] = " overdraw"};
  if (t->hole) {
    rl_text_add_int(&text, t->hole);
    rl_text_add(&text, hows[t->technique]);
  }
}

static void
next_draw(const RlScene *const s)
{
  const RlView *const v   = s->view;
  RlRect              box = s->layout->next;
  char                name[RL_WORDS_SIZE], degree[RL_WORDS_SIZE], target[RL_WORDS_SIZE];
  char                number[RL_WORDS_SIZE], words[RL_WORDS_SIZE];
  RlText              count = rl_text_in(number, sizeof(number));
  RlText              unit  = rl_text_in(words, sizeof(words));
  if (!rl_view_placed(v) || !v->report.next[0]) {
    return;
  }
  rl_countdown(v, &count, &unit);
  chord_words(v->report.next, name);
  chord_words(v->report.next_degree, degree);
  target_words(v, target);
  const double small = fmin(fmax(box.h * 0.17, s->layout->label), box.h * 0.25);
  RlRect       foot  = rl_rect_cut_bottom(&box, box.h * 0.27);
  RlRect       left  = rl_rect_cut_left(&box, box.w * 0.34);
  rl_rect_cut_left(&box, box.h * 0.06);
  const double size = fmin(box.h / 0.8, s->layout->pitch_y * 1.5); /* its outline included */
  rl_write(&s->paint, rl_rect_cut_left(&left, left.w * 0.3),
           (RlStyle){small, RL_PLAIN, RL_INK_QUIET, RL_RIGHT}, "in");
  rl_write(&s->paint, rl_rect_inset(left, 2), (RlStyle){size, RL_BOLD, RL_INK_TEXT, RL_MIDDLE},
           number);
  rl_write_hollow(&s->paint, rl_rect_inset(box, size / 40),
                  (RlStyle){size, RL_BOLD, RL_INK_NEXT_NAME, RL_RIGHT}, name,
                  (double)rl_fill_steps(v) / RL_FILL_STEPS);
  const RlRect under = {left.x, foot.y, left.w, foot.h};
  rl_write(&s->paint, under, (RlStyle){small, RL_PLAIN, RL_INK_QUIET, RL_MIDDLE}, words);
  rl_rect_cut_left(&foot, left.x + left.w - foot.x);
  const RlStyle degrees = {fmin(small * 1.35, foot.h), RL_BOLD, RL_INK_NEXT_NAME, RL_RIGHT};
  const double  width   = fmin(foot.w * 0.4, rl_write_width(&s->paint, degrees, degree) + 2);
  rl_write(&s->paint, rl_rect_cut_right(&foot, width), degrees, degree);
  rl_rect_cut_right(&foot, small * 0.6);
  rl_write(&s->paint, foot, (RlStyle){small, RL_BOLD, RL_INK_TARGET, RL_RIGHT}, target);
}

void
rl_draw_corners(const RlScene *const s)
{
  now_draw(s);
  next_draw(s);
}
