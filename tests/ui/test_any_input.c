/* SPDX-License-Identifier: ISC */
/* A controller under whatever a host may say and whoever may click. */
#include "core/chart/chart.h"
#include "hands.h"
#include "kept_picture.h"
#include "place_reports.h"
#include "ui/controller/controller.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <unistd.h>

#include <cmocka.h>

/* ---- arbitrary input ---- */

static double
wild(void)
{
  static const double values[] = {0,    1,     -1,     0.5,         4,        13,       1e9,
                                  -1e9, 1e300, -1e300, (double)NAN, HUGE_VAL, -HUGE_VAL};
  return values[rand() % 13];
}

static void
whatever_is_told_it_stays_on_its_feet(void **state)
{
  static const char *const chords[] = {"",    "I7",     "N.C.",     "no chord",
                                       "ii7", "bVII13", "\xFF\xFE", "IIIm7b5/VII"};
  (void)state;
  srand(12);
  open_controller(NULL);
  pictures_make();
  for (int i = 0; i < 3000; ++i) {
    RlPlaceReport t = {.lit           = rand() % 2,
                       .rolling       = rand() % 2,
                       .part          = (RlPart)(rand() % 6),
                       .chorus        = rand() % 3 ? rand() % 9 : INT32_MAX,
                       .bar           = rand() % 3   ? rand() % 20 - 5
                                        : rand() % 2 ? INT32_MAX
                                                     : INT32_MIN + 1,
                       .bars          = rand() % 30,
                       .beats         = rand() % 5 ? 1 + rand() % 32 : 0,
                       .unit          = 1 << rand() % 6,
                       .song_key      = rand() % 12,
                       .tempo         = wild(),
                       .beat          = rand() % 2 ? 1 + rand() % 4 : wild(),
                       .sure          = wild(),
                       .beats_to_next = rand() % 2 ? rand() % 8 : wild()};
    snprintf(t.now, sizeof(t.now), "%s", chords[rand() % 8]);
    snprintf(t.now_degree, sizeof(t.now_degree), "%s", chords[rand() % 8]);
    snprintf(t.next, sizeof(t.next), "%s", chords[rand() % 8]);
    snprintf(t.next_degree, sizeof(t.next_degree), "%s", chords[rand() % 8]);
    t.target = (RlTarget){(uint8_t)(rand() % 12), (uint8_t)(rand() % RL_TECHNIQUES), 3, 60};
    rl_controller_hear_place(host.controller, &t, host.now);
    something();
    if (i % 100 == 0) {
      host.width  = 200 + rand() % 1400;
      host.height = 200 + rand() % 900;
      pictures_drop();
      pictures_make();
    }
    parts_draw();
    host.now += 0.03;
  }
  pictures_drop();
  close_controller();
}

/* Ports, texts, keys and pointers as no host should send them. */
static void
a_host_may_say_anything(void **state)
{
  static const char *const texts[] = {"",
                                      "| ",
                                      "\xFF\xFE\x80",
                                      "| I7 | H7 |",
                                      "key: Zz\n|||||||",
                                      "| % | % |",
                                      "\n\n[x]\n",
                                      "meter: 32/32\n| I7 I7 I7 I7 I7 I7 I7 I7 | N.C. |",
                                      "lead-in: 9 from 1\n| I |\n"};
  (void)state;
  srand(14);
  open_controller(NULL);
  pictures_make();
  for (int i = 0; i < 6000; ++i) {
    const RlInput input = {
      .kind    = (RlInputKind)(rand() % 5),
      .x       = rand() % 4 ? rand() % host.width : wild(),
      .y       = rand() % 4 ? rand() % host.height : wild(),
      .scroll  = rand() % 3 ? rand() % 3 - 1 : wild(),
      .key     = rand() % 3   ? RL_KEY_ENTER + rand() % 13
                 : rand() % 2 ? ' ' + rand() % 95
                              : rand() - rand(), // NOLINT(misc-redundant-expression): two numbers
      .shift   = rand() % 2,
      .control = rand() % 8 == 0,
      .alt     = rand() % 8 == 0};
    rl_controller_input(host.controller, &input, host.now);
    if (i % 7 == 0) {
      rl_controller_hear_port(host.controller, (RlPort)(rand() % RL_PORTS),
                              rand() % 2 ? (float)wild() : (float)(rand() % 40 - 10));
    }
    if (i % 50 == 0) {
      rl_controller_hear_text(host.controller, (RlProperty)(rand() % RL_PROPERTIES),
                              texts[rand() % 9]);
    }
    if (i % 5 == 0) {
      RlPlaceReport t = rl_report_beat(rl_controller_view(host.controller), rand() % 100);
      t.part          = (RlPart)(rand() % 9);
      t.bar           = rand() % 4 ? t.bar : INT32_MIN;
      t.bars          = rand() % 4 ? t.bars : -1;
      t.beats =
        rand() % 4 ? t.beats : rand() - rand(); // NOLINT(misc-redundant-expression): two numbers
      t.unit   = rand() % 4 ? t.unit : rand() % 3 - 1;
      t.chorus = rand() % 4 ? t.chorus : INT32_MIN;
      t.target = (RlTarget){(uint8_t)rand(), (uint8_t)rand(), (uint8_t)rand(), (uint8_t)rand()};
      rl_controller_hear_place(host.controller, &t, host.now);
    }
    if (i % 500 == 0) {
      static const int odd[][2] = {{1, 1}, {3, 900}, {1900, 2}, {40, 30}, {1280, 720}, {360, 740}};
      host.width                = odd[i / 500 % 6][0];
      host.height               = odd[i / 500 % 6][1];
      pictures_drop();
      pictures_make();
    }
    parts_draw();
    host.now += rand() % 9 ? 0.03 : 3;
  }
  pictures_drop();
  close_controller();
}

/* Whatever is sent to the plugin is valid. */
static void
what_is_sent_reads(void)
{
  static RlPlan   plan;
  static RlPhrase phrase;
  static RlForm   form;
  RlPlanError     error;
  RlChartError    wrong;
  assert_true(rl_plan_read(rl_slice(host.text[RL_PLAN]), &phrase, &plan, &error));
  assert_true(rl_plan_read(rl_slice(host.takes), &phrase, &plan, &error));
  assert_true(!host.text[RL_CHART][0] ||
              rl_chart_read(rl_slice(host.text[RL_CHART]), &form, &wrong));
}

/* Of the spots there are, one by chance; every other time the one whose action was done least. */
static RlSpot
any_spot(const int *const done)
{
  int spot = layout.live + rand() % (layout.spots - layout.live);
  if (rand() % 2) {
    for (int i = layout.live; i < layout.spots; ++i) {
      spot = done[layout.spot[i].action.kind] < done[layout.spot[spot].action.kind] ? i : spot;
    }
  }
  return layout.spot[spot];
}

/* Clicks on some spot; returns which. */
static RlActionKind
click_anything(const int *const done)
{
  rl_layout_make(&layout, rl_controller_view(host.controller), host.width, host.height);
  if (layout.live >= layout.spots) {
    return RL_ACTION_NONE;
  }
  const RlSpot spot = any_spot(done);
  RlInput      hand = {.kind = RL_INPUT_PRESS,
                       .x    = (spot.at.x + spot.at.w * (rand() % 100) / 100) * layout.unit,
                       .y    = (spot.at.y + spot.at.h * (rand() % 100) / 100) * layout.unit};
  rl_controller_input(host.controller, &hand, host.now);
  hand.kind = RL_INPUT_RELEASE;
  rl_controller_input(host.controller, &hand, host.now);
  return spot.action.kind;
}

/* An action that was not done; RL_ACTION_NONE: all were. */
static int
never_done(const int *const done)
{
  int d = RL_ACTIONS - 1;
  while (d > RL_ACTION_NONE && done[d]) {
    --d;
  }
  return d;
}

/* Somebody who clicks and types whatever there is, with takes coming in between: everything can be
   done, and what is sent is never broken. */
static void
whoever_clicks_anything_breaks_nothing(void **state)
{
  static const char *const takes[] = {
    "bar 2: Take 1\nbar 9: Take 2\n\nX:1\nT:Take 1\nN:sure .98 .91 .45 .34\nM:4/4\nL:1/8\nK:G\n"
    "\"G7\"G2 [Bd]2 z2 !slide!c2|\n\nX:2\nT:Take 2\nM:4/4\nL:1/8\nK:G\n(3GBd (3edB G2 z2|\n",
    "taken: 7\n", "X:1\nT:Take 9\nK:C\nC|\n"};
  static const int  sizes[][2] = {{1280, 720}, {1280, 720}, {640, 400}, {500, 900}, {1920, 1080}};
  static const char practised[] =
    "2026-11-30T14:06:12Z chorus=2 bars=12 tempo=72 key=7 harp=0 show=4 notes=9 targets=6/9 "
    "strong=0/0 planned=0/0 bends=0 cents=0 spread=0 timed=0 behind_ms=0 behind_beats=0 song=Ferry "
    "Street Slow Drag\n";
  static const char typed[]          = "I7 V/%|b: 9";
  char              folder[]         = "/tmp/reedlamp-anything-XXXXXX", command[64];
  int               done[RL_ACTIONS] = {0};
  Maker             maker            = {0};
  (void)state;
  assert_non_null(mkdtemp(folder));
  srand(15);
  open_controller(folder);
  rl_controller_set_phrase_files(host.controller, folder, NULL);
  maker_set(&maker);
  host.undoes = true;
  /* which charts are listed when hangs on a thread: whatever comes late is waited for */
  for (int i = 0; i < 20000 || (i < 100000 && never_done(done)); ++i) {
    ++done[click_anything(done)];
    if (rl_controller_view(host.controller)->edit.kind != RL_EDIT_NOTHING && rand() % 4) {
      key(rand() % 5 ? typed[rand() % 11] : RL_KEY_ENTER);
    }
    if (rand() % 10 == 0) { /* as the plugin answers */
      for (int t = 0; t <= RL_TAKE; ++t) {
        what_is_sent_reads();
        const char *const text = t == RL_TAKE ? host.takes : host.text[t];
        if (t != RL_CHART_FILE && (text[0] || t != RL_CHART)) {
          rl_controller_hear_text(host.controller, (RlProperty)t, text);
        }
      }
    }
    if (rand() % 20 == 0) {
      shift_arrow(RL_KEY_LEFT + rand() % 4);
    }
    if (rand() % 40 == 0) {
      takes_come(takes[rand() % 3]);
      key('p');
    }
    if (rand() % 100 == 0) {
      const int size = rand() % 5;
      host.width     = sizes[size][0];
      host.height    = sizes[size][1];
      rl_controller_hear_text(host.controller, RL_CHART, twelve);
      rl_controller_hear_text(host.controller, RL_PRACTICE, practised);
    }
    look();
    host.now += rand() % 9 ? 0.03 : 3;
  }
  if (never_done(done)) {
    fail_msg("action %d was never done", never_done(done));
  }
  close_controller();
  snprintf(command, sizeof(command), "rm -r %s", folder);
  assert_int_equal(system(command), 0);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(a_host_may_say_anything),
    cmocka_unit_test(whoever_clicks_anything_breaks_nothing),
    cmocka_unit_test(whatever_is_told_it_stays_on_its_feet),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
