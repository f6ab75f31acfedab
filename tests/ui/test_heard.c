/* SPDX-License-Identifier: ISC */
/* The player in the window: a ring at each lamp that sounds, a needle while a bend is held, notes
   of the plan that fill, a target landed on. Source: ui/window/WINDOW.md. */
#include "deaf_plugin.h"
#include "place_reports.h"
#include "ui/draw/cells.h"
#include "ui/draw/draw.h"
#include "ui/draw/lane.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

enum { WIDTH = 1280, HEIGHT = 720 };

static RlController *controller;
static double        now;

static const RlView *
view(void)
{
  return rl_controller_view(controller);
}

static double
look(void)
{
  RlRect    damage[RL_DAMAGE_MAX];
  double    area = 0;
  const int n    = rl_controller_changed(controller, now, WIDTH, HEIGHT, damage);
  for (int i = 0; i < n; ++i) {
    area += damage[i].w * damage[i].h;
  }
  return area;
}

static int
begin(void **state)
{
  (void)state;
  now        = 10;
  controller = rl_controller_new(&deaf_plugin, 1, NULL);
  assert_non_null(controller);
  rl_controller_hear_text(controller, RL_CHART, "key: G\n| I7 | IV7 | I7 | V7 |\n");
  rl_controller_hear_port(controller, RL_PORT_HARP_FROM, 1);
  look();
  return 0;
}

static int
end(void **state)
{
  (void)state;
  rl_controller_free(controller);
  return 0;
}

static void
tell(const int beat)
{
  const RlPlaceReport told = rl_report_beat(view(), beat);
  rl_controller_hear_place(controller, &told, now);
  look();
}

static void
hear(const int count, const RlPlayedSound *const notes, const double since)
{
  RlPlayedReport played = {.count = count, .heard_at = 100, .since = 100 - since, .sure = 1};
  for (int i = 0; i < count; ++i) {
    played.note[i] = notes[i];
  }
  rl_controller_hear_played(controller, &played, now);
}

static void
hear_one(const int hole, const RlTechnique technique, const int midi, const double cents)
{
  hear(1, (RlPlayedSound[]){{hole, technique, midi, cents}}, 1);
}

static const RlCell *
cell(const int hole, const RlTechnique technique)
{
  static RlComb comb;
  comb = rl_comb_of(view());
  return &comb.cell[hole - 1][technique];
}

static int
ringed(void)
{
  const RlComb comb = rl_comb_of(view());
  int          n    = 0;
  for (int i = 0; i < RL_HOLES * RL_TECHNIQUES; ++i) {
    n += comb.cell[i / RL_TECHNIQUES][i % RL_TECHNIQUES].heard;
  }
  return n;
}

/* ---- what is seen ---- */

static cairo_surface_t *
picture(void)
{
  cairo_surface_t *const to = cairo_image_surface_create(CAIRO_FORMAT_RGB24, WIDTH, HEIGHT);
  cairo_t *const         cr = cairo_create(to);
  rl_controller_look(controller, now);
  rl_controller_draw(controller, cr, WIDTH, HEIGHT);
  cairo_destroy(cr);
  cairo_surface_flush(to);
  return to;
}

static unsigned
pixel(cairo_surface_t *const of, const double x, const double y)
{
  const unsigned char *const at = cairo_image_surface_get_data(of) +
                                  (ptrdiff_t)lround(y) * cairo_image_surface_get_stride(of) +
                                  (ptrdiff_t)lround(x) * 4;
  return (unsigned)at[2] << 16 | (unsigned)at[1] << 8 | at[0];
}

/* Pixels of an ink in a box. */
static int
pixels(cairo_surface_t *const of, const RlRect box, const RlInk ink)
{
  int n = 0;
  for (int y = (int)box.y; y < box.y + box.h; ++y) {
    for (int x = (int)box.x; x < box.x + box.w; ++x) {
      n += pixel(of, x, y) == rl_ink(ink);
    }
  }
  return n;
}

static RlRect
cell_at(const int hole, const RlTechnique technique)
{
  static RlLayout layout;
  rl_layout_make(&layout, view(), WIDTH, HEIGHT);
  return rl_layout_cell(&layout, hole, technique);
}

/* The lower edge of the cell, where nothing but a ring has that ink. */
static int
light_under(cairo_surface_t *const of, const int hole, const RlTechnique technique)
{
  const RlRect at = cell_at(hole, technique);
  return pixels(of, (RlRect){at.x + at.w * 0.3, at.y + at.h - 4, at.w * 0.4, 8}, RL_INK_100);
}

/* ---- tests ---- */

static void
each_note_that_sounds_has_a_ring(void **state)
{
  static const RlPlayedSound chord[] = {
    {1, RL_DRAW, 62, 2}, {2, RL_DRAW, 67, -3}, {3, RL_DRAW, 71, 1}};
  (void)state;
  tell(8);
  for (int n = 0; n <= 3; ++n) {
    hear(n, chord, 1);
    assert_int_equal(ringed(), n);
    cairo_surface_t *const seen = picture();
    for (int hole = 1; hole <= 4; ++hole) {
      assert_int_equal(light_under(seen, hole, RL_DRAW) > 60, hole <= n);
    }
    cairo_surface_destroy(seen);
  }
  rl_controller_hear_silence(controller, true);
  assert_int_equal(ringed(), 0);
}

static void
a_held_bend_has_a_needle_a_passing_one_and_a_plain_note_have_none(void **state)
{
  const RlPlayedSound bend = {2, RL_DRAW_1, 66, -20};
  (void)state;
  tell(8);
  hear(1, &bend, 0.05);
  assert_true(cell(2, RL_DRAW_1)->heard && !cell(2, RL_DRAW_1)->held);
  hear(1, &bend, 0.3);
  assert_true(cell(2, RL_DRAW_1)->held);
  assert_int_equal(cell(2, RL_DRAW_1)->off, -20);
  hear(1, &bend, 0.05); /* so steady that there is nothing new to tell */
  now += 0.05;
  look();
  assert_false(cell(2, RL_DRAW_1)->held);
  now += 0.2;
  look();
  assert_true(cell(2, RL_DRAW_1)->held);
  hear_one(2, RL_DRAW, 67, -20);
  assert_true(cell(2, RL_DRAW)->heard && !cell(2, RL_DRAW)->held);
}

/* The middle of what is white in the scale over the lamp: the needle. */
static double
needle_x(void)
{
  const RlRect           at   = cell_at(2, RL_DRAW_1);
  cairo_surface_t *const seen = picture();
  double                 sum = 0, n = 0;
  for (int x = (int)(at.x - at.w * 0.5); x < at.x + at.w * 1.5; ++x) {
    const bool white = pixel(seen, x, at.y - 22) == rl_ink(RL_INK_TEXT);
    sum += white ? x : 0;
    n += white;
  }
  cairo_surface_destroy(seen);
  return n > 0 ? sum / n - (at.x + at.w / 2) : 1e6;
}

static void
the_needle_goes_with_the_cents(void **state)
{
  double before = -1e3;
  (void)state;
  tell(8);
  for (int cents = -60; cents <= 60; cents += 20) {
    hear_one(2, RL_DRAW_1, 66, cents);
    const double x = needle_x();
    assert_true(x > before + 10 && x < 100);
    assert_true(fabs(x + needle_x()) > 2 * fabs(x) - 1); /* the same twice */
    assert_true((cents > 0) == (x > 1) && (cents < 0) == (x < -1));
    before = x;
  }
}

/* Filled where the needle is on it: the light of goal and ring together grows. */
static void
the_goal_fills_while_the_needle_is_there(void **state)
{
  const RlRect over = {cell_at(2, RL_DRAW_1).x, cell_at(2, RL_DRAW_1).y - 6, 76, 10};
  int          lit[2];
  (void)state;
  tell(8);
  for (int i = 0; i < 2; ++i) {
    hear_one(2, RL_DRAW_1, 66, i ? 4 : 40);
    cairo_surface_t *const seen = picture();
    lit[i]                      = pixels(seen, over, RL_INK_100);
    cairo_surface_destroy(seen);
  }
  assert_true(lit[1] > lit[0] + 40);
}

/* Over G7 the flat third of G is blue; over C7 it is the seventh, and played true. */
static void
between_flat_third_and_third_lies_the_blue_third(void **state)
{
  (void)state;
  tell(8);
  assert_string_equal(view()->report.now_degree, "I7");
  hear_one(3, RL_DRAW, 71, -42);
  assert_true(cell(3, RL_DRAW_1)->held && !cell(3, RL_DRAW)->heard);
  assert_int_equal(cell(3, RL_DRAW_1)->off, 58);
  hear_one(3, RL_DRAW, 71, -20);
  assert_true(cell(3, RL_DRAW)->heard && !cell(3, RL_DRAW_1)->heard);
  tell(4);
  assert_string_equal(view()->report.now_degree, "IV7");
  hear_one(3, RL_DRAW, 71, -42);
  assert_true(cell(3, RL_DRAW)->heard && !cell(3, RL_DRAW_1)->heard);
}

static const char plan[] =
  "bar 1: Coal Barge\n\nX:1\nT:Coal Barge\nM:4/4\nL:1/4\nK:G\n\"G7\"G B d f|\n";

static void
notes_of_the_plan_that_were_played_fill(void **state)
{
  RlLaneBar bars[RL_LANE_BARS_MAX];
  double    at;
  (void)state;
  rl_controller_hear_text(controller, RL_PLAN, plan);
  tell(0);
  assert_true(rl_lane_in_sight(view(), 1, bars, &at) == 1);
  RlLaneOnset n           = rl_lane_first(view()->lane, view()->form, bars[0].from);
  n                       = rl_lane_next(view()->lane, view()->form, n); /* off the light */
  const RlTab       first = view()->lane->note[n.index].tab;
  const double      where = n.at / RL_TICKS;
  cairo_surface_t  *seen[2];
  const RlHitReport hit = {false, where, first.hole, (RlTechnique)first.technique};
  assert_false(rl_view_hit(view(), first.hole, (RlTechnique)first.technique, n.at));
  seen[0] = picture();
  rl_controller_hear_hit(controller, &hit, now);
  assert_true(look() > 0);
  seen[1] = picture();
  assert_true(rl_view_hit(view(), first.hole, (RlTechnique)first.technique, n.at));
  n = rl_lane_next(view()->lane, view()->form, n);
  assert_false(rl_view_hit(view(), first.hole, (RlTechnique)first.technique, n.at));
  static RlLayout layout;
  rl_layout_make(&layout, view(), WIDTH, HEIGHT);
  assert_true(pixels(seen[1], layout.lane, RL_INK_100) >
              pixels(seen[0], layout.lane, RL_INK_100) + 60);
  cairo_surface_destroy(seen[0]);
  cairo_surface_destroy(seen[1]);
}

static void
where_the_music_goes_back_hits_are_forgotten(void **state)
{
  const RlHitReport hit = {false, 1, 4, RL_DRAW};
  (void)state;
  tell(0);
  rl_controller_hear_hit(controller, &hit, now);
  tell(1);
  tell(2);
  assert_int_equal(view()->hits.count, 1);
  const RlPlaceReport nowhere = {.lit = true, .part = RL_PART_NOWHERE};
  rl_controller_hear_place(controller, &nowhere, now);
  look();
  tell(2);
  assert_int_equal(view()->hits.count, 1);
  rl_controller_hear_place(controller, &nowhere, now);
  look();
  tell(1);
  assert_int_equal(view()->hits.count, 0);
  for (int i = 0; i < 3 * RL_HITS_KEPT; ++i) {
    rl_controller_hear_hit(controller, &(RlHitReport){false, i, 4, RL_DRAW}, now);
  }
  assert_int_equal(view()->hits.count, RL_HITS_KEPT);
  assert_true(view()->hits.hit[0].quarters == 3 * RL_HITS_KEPT - 1);
}

static void
a_target_landed_on_is_marked_for_a_while(void **state)
{
  const RlHitReport hit = {true, 4, 3, RL_DRAW_1};
  (void)state;
  tell(4);
  assert_false(cell(3, RL_DRAW_1)->landed);
  rl_controller_hear_hit(controller, &hit, now);
  now += 0.5;
  look();
  assert_true(cell(3, RL_DRAW_1)->landed);
  const RlRect           at   = cell_at(3, RL_DRAW_1);
  cairo_surface_t *const seen = picture();
  assert_true(pixels(seen, (RlRect){at.x, at.y + at.h + 6, at.w, 20}, RL_INK_100) > 40);
  cairo_surface_destroy(seen);
  now += 1;
  look();
  assert_false(cell(3, RL_DRAW_1)->landed);
}

static void
a_needle_that_moves_costs_little(void **state)
{
  (void)state;
  tell(8);
  hear_one(2, RL_DRAW_1, 66, 0);
  look();
  for (int i = 1; i < 20; ++i) {
    hear_one(2, RL_DRAW_1, 66, i);
    const double area = look();
    assert_true(area > 0 && area < 200 * 200);
    hear_one(2, RL_DRAW_1, 66, i + 0.1); /* less than a cent */
    assert_true(look() == 0);
  }
  hear(0, NULL, 0);
  assert_true(look() > 0);
  assert_true(look() == 0);
}

/* A host may pass on anything. */
static void
what_cannot_be_is_left_out(void **state)
{
  static const RlPlayedSound wrong[] = {
    {0, RL_DRAW, 60, 0}, {11, RL_DRAW, 60, 0}, {3, RL_TECHNIQUES, 60, 0}, {3, RL_DRAW, 0, 0}};
  (void)state;
  tell(8);
  for (size_t i = 0; i < sizeof(wrong) / sizeof(wrong[0]); ++i) {
    hear(1, &wrong[i], 1);
    assert_int_equal(view()->played.count, 0);
  }
  rl_controller_hear_played(
    controller,
    &(RlPlayedReport){
      .count = 77, .note = {{3, RL_DRAW, 71, NAN}}, .heard_at = NAN, .since = HUGE_VAL},
    now);
  assert_int_equal(view()->played.count, 1);
  cairo_surface_destroy(picture());
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
#define TEST(name) cmocka_unit_test_setup_teardown(name, begin, end)
    TEST(each_note_that_sounds_has_a_ring),
    TEST(a_held_bend_has_a_needle_a_passing_one_and_a_plain_note_have_none),
    TEST(the_needle_goes_with_the_cents),
    TEST(the_goal_fills_while_the_needle_is_there),
    TEST(between_flat_third_and_third_lies_the_blue_third),
    TEST(notes_of_the_plan_that_were_played_fill),
    TEST(where_the_music_goes_back_hits_are_forgotten),
    TEST(a_target_landed_on_is_marked_for_a_while),
    TEST(a_needle_that_moves_costs_little),
    TEST(what_cannot_be_is_left_out),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
