/* SPDX-License-Identifier: ISC */
/* The screen of phrases, by mouse and keyboard: phrases looked at and put on bars, poor and large
   libraries. */
#include "hands.h"
#include "ui/controller/controller.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include <cmocka.h>

/* ---- phrases ---- */

static int
phrase_called(const char *const title)
{
  const RlLibrary *const l = rl_controller_view(host.controller)->phrases.library;
  for (int i = 0; i < l->count; ++i) {
    if (!strcmp(l->phrase[i].title, title)) {
      return i;
    }
  }
  fail_msg("no phrase %s", title);
  return -1;
}

static void
a_phrase_is_looked_at_and_put_on_its_bar(void **state)
{
  (void)state;
  for (int way = 0; way < WAYS; ++way) {
    open_controller(NULL);
    library_open();
    ways[way](RL_ACTION_PHRASES, 0);
    const RlView *const v = rl_controller_view(host.controller);
    assert_int_equal(v->screen, RL_SCREEN_PHRASES);
    assert_int_equal(v->phrases.library->count, 20);
    assert_string_equal(v->phrases.library->problem, "");
    ways[way](RL_ACTION_PHRASE_SELECT, phrase_called("Coal Barge"));
    for (int i = 1; i < 9; ++i) {
      ways[way](RL_ACTION_PHRASE_BAR, 1);
    }
    assert_int_equal(v->phrases.planned.bar, 9);
    assert_true(v->phrases.lane->notes > 10);
    assert_int_equal(v->phrases.best_count, RL_BEST_HARPS);
    ways[way](RL_ACTION_PHRASE_PUT, 0);
    plan_told();
    assert_memory_equal(host.text[RL_PLAN], "bar 9: Coal Barge\n\n", 19);
    assert_true(rl_view_has_lane(v));
    ways[way](RL_ACTION_PHRASE_BAR, -1);
    ways[way](RL_ACTION_PHRASE_MOVE, 0);
    ways[way](RL_ACTION_PHRASE_PUT, 0);
    plan_told();
    assert_memory_equal(host.text[RL_PLAN],
                        "bar 9: Coal Barge\nbar 8: Coal Barge, with the key\n\n", 51);
    ways[way](RL_ACTION_PHRASE_BAR, 1);
    ways[way](RL_ACTION_BAR_CLEAR, 0);
    assert_memory_equal(host.text[RL_PLAN], "bar 8: Coal Barge, with the key\n\n", 33);
    ways[way](RL_ACTION_PHRASES, 0);
    assert_int_equal(v->screen, RL_SCREEN_PLAY);
    close_controller();
  }
}

static void
a_wrong_plan_is_named_where_it_is_typed(void **state)
{
  (void)state;
  open_controller(NULL);
  library_open();
  key('p');
  click(RL_ACTION_PLAN_TEXT, 0);
  type("bar 9: Fog Signal");
  click(RL_ACTION_EDIT_KEEP, 0);
  const RlView *const v = rl_controller_view(host.controller);
  assert_int_equal(v->edit.kind, RL_EDIT_PLAN);
  assert_non_null(strstr(v->edit.error, "Fog Signal"));
  assert_string_equal(host.text[RL_PLAN], "");
  key(RL_KEY_ESCAPE); /* asks */
  key(RL_KEY_ESCAPE);
  assert_int_equal(v->screen, RL_SCREEN_PHRASES);
  click(RL_ACTION_PLAN_TEXT, 0);
  type("answer: 3");
  click(RL_ACTION_EDIT_KEEP, 0);
  assert_string_equal(host.text[RL_PLAN], "answer: 3");
  close_controller();
}

/* No folder, one that does not exist, a file that is not ABC: what is usable is used, and the rest
   is reported. */
static void
a_poor_library_is_used_as_far_as_it_goes(void **state)
{
  (void)state;
  open_controller(NULL);
  rl_controller_set_phrase_files(host.controller, "/nonexistent/reedlamp/phrases", NULL);
  key('p');
  assert_int_equal(rl_controller_view(host.controller)->phrases.library->count, 0);
  assert_string_equal(rl_controller_view(host.controller)->phrases.library->problem, "");
  assert_int_equal(rl_controller_view(host.controller)->phrases.selected, -1);
  key('p');
  rl_controller_set_phrase_files(host.controller, NULL, "/dev/null");
  key('p');
  assert_string_equal(rl_controller_view(host.controller)->phrases.library->problem,
                      "null: cannot be read");
  close_controller();
}

/* A book in Latin-1 is read, its head holds for tunes that do not say otherwise; what was left out
 * of a tune is shown with it. */
static void
old_books_are_read_and_what_was_left_out_is_shown(void **state)
{
  (void)state;
  char folder[] = "/tmp/reedlamp-library-XXXXXX";
  char path[128];
  assert_non_null(mkdtemp(folder));
  snprintf(path, sizeof(path), "%s/old.abc", folder);
  file_write(path, "%abc-2.1\nM:4/4\nL:1/4\n\n"
                   "X:1\r\nT:Caf\351 du Quai\r\nC:Andr\351\r\nM:4/4\r\nL:1/8\r\nK:G\r\n"
                   "~G2 {a}B2 Td2 ~f2|\r\n\r\nX:2\nT:Plain\nK:G\nG2G2\n\nX:3\nT:Two\nK:G\nG&B\n");
  folder_open(folder);
  const RlView *const v = rl_controller_view(host.controller);
  assert_int_equal(v->phrases.library->count, 3);
  assert_string_equal(v->phrases.library->phrase[0].title, "Caf\303\251 du Quai");
  assert_int_equal(rl_view_phrase_left(v, 0), 4); /* in the list, before any is selected */
  assert_int_equal(rl_view_phrase_left(v, 1), 0);
  assert_int_equal(rl_view_phrase_left(v, 2), RL_LIBRARY_WRONG);
  click(RL_ACTION_PHRASE_SELECT, 0);
  assert_string_equal(v->edit.error, "");
  assert_int_equal(v->phrases.lane->notes, 4);
  assert_string_equal(v->phrases.left_out, "3 ornaments and a grace note left out");
  assert_string_equal(v->phrases.home, "G"); /* its remark speaks of that key */
  rl_controller_hear_text(host.controller, RL_TAKE, "bar 4: Take 1\n\nX:1\nT:Take 1\nK:D\nD8|\n");
  click(RL_ACTION_PHRASE_SELECT, 0);
  assert_null(v->phrases.home); /* a take's is true in any */
  rl_controller_hear_text(host.controller, RL_TAKE, "");
  click(RL_ACTION_PHRASE_SELECT, 1);
  assert_null(v->phrases.left_out);
  assert_int_equal(v->phrases.lane->notes, 2);
  assert_true(v->phrases.lane->note[1].at - v->phrases.lane->note[0].at == 2 * RL_TICKS);
  close_controller();
  unlink(path);
  assert_int_equal(rmdir(folder), 0);
}

/* With keys only: to any phrase, by pages, to the end, beyond the last one in sight. */
static void
large_library_scrolls(const int files)
{
  const RlView *const v = rl_controller_view(host.controller);
  key(RL_KEY_END);
  assert_true(spot_of(RL_ACTION_PHRASE_SELECT, files - 1) >= 0);
  key(RL_KEY_PAGE_UP);
  assert_true(spot_of(RL_ACTION_PHRASE_SELECT, files - 1) < 0);
  const int shown = layout.phrases_shown;
  assert_int_equal(layout.first_phrase, files - 2 * shown + 1);
  key(RL_KEY_HOME);
  assert_true(spot_of(RL_ACTION_PHRASE_SELECT, 0) >= 0);
  key(RL_KEY_PAGE_DOWN);
  assert_true(spot_of(RL_ACTION_PHRASE_SELECT, shown - 1) >= 0); /* one row is seen again */
  assert_true(spot_of(RL_ACTION_PHRASE_SELECT, 2 * shown - 2) >= 0);
  key(RL_KEY_HOME);
  key(RL_KEY_TAB);
  while (layout.spot[v->focus].action.kind != RL_ACTION_PHRASE_SELECT) {
    key(RL_KEY_TAB);
  }
  for (int i = 0; i < 3 * shown; ++i) {
    key(RL_KEY_DOWN);
  }
  spot_of(RL_ACTION_PHRASE_SELECT, 0);
  assert_int_equal(layout.spot[v->focus].action.value, 3 * shown);
  key(RL_KEY_ENTER);
  assert_int_equal(v->phrases.selected, 3 * shown);
  for (int i = 0; i < 3 * shown; ++i) {
    key(RL_KEY_UP);
  }
  spot_of(RL_ACTION_PHRASE_SELECT, 0);
  assert_int_equal(layout.spot[v->focus].action.value, 0);
}

/* Words of a title find it while they are typed. */
static void
large_library_is_searched(void)
{
  const RlView *const v = rl_controller_view(host.controller);
  for (int way = 0; way < 2; ++way) {
    if (way) {
      key('f');
    } else {
      click(RL_ACTION_FIND, 0);
    }
    type("48 plANK");
    assert_true(v->phrases.found_count > 1 && v->phrases.found_count < 1000);
    assert_int_equal(rl_view_listed_phrase(v, 0), 48);
    type(" 9");
    assert_int_equal(rl_view_listed_phrase(v, 0), 489);
    key(RL_KEY_ENTER);
    assert_int_equal(v->edit.kind, RL_EDIT_NOTHING);
    assert_int_equal(v->phrases.selected, 489);
    assert_true(v->phrases.lane->notes == 4);
    key(RL_KEY_PAGE_DOWN);
    const int far = rl_view_listed_phrase(v, v->scroll);
    click(RL_ACTION_PHRASE_SELECT, far); /* what is wanted stays, where it was scrolled to */
    assert_int_equal(v->phrases.selected, far);
    assert_int_equal(rl_view_listed_phrase(v, v->scroll), far);
    assert_true(rl_view_searches(v));
    click(RL_ACTION_FIND, 0);
    type("x");
    assert_int_equal(rl_view_listed(v), 0);
    key(RL_KEY_ENTER);
    assert_int_equal(v->phrases.selected, far);
    key(RL_KEY_ESCAPE);
    assert_false(rl_view_searches(v));
    assert_int_equal(v->screen, RL_SCREEN_PHRASES);
    click(RL_ACTION_PHRASE_SELECT, 0);
  }
  key('f');
  type("8");
  click(RL_ACTION_PHRASE_SELECT, 18); /* from the typing */
  assert_int_equal(v->phrases.selected, 18);
  assert_int_equal(v->edit.kind, RL_EDIT_NOTHING);
  key('p');
  key('f');
  assert_int_equal(v->edit.kind, RL_EDIT_NOTHING); /* there is nothing to be found here */
  key('p');
  assert_false(rl_view_searches(v));
}

/* Ten thousand files, one of which is broken further down: that is reported when it is selected. */
static void
a_large_library_opens_and_a_wrong_phrase_is_named(void **state)
{
  enum { FILES = 10000 };
  char folder[] = "/tmp/reedlamp-library-XXXXXX";
  char path[128], text[256];
  (void)state;
  assert_non_null(mkdtemp(folder));
  for (int i = 0; i < FILES; ++i) {
    snprintf(path, sizeof(path), "%s/%05d.abc", folder, i);
    snprintf(text, sizeof(text), "X:1\nT:Plank %d\nM:4/4\nL:1/8\nK:G\n\"G7\"%s|\n", i,
             i == 7 ? "G & B" : "G2 B2 d2 f2");
    file_write(path, text);
  }
  folder_open(folder);
  const RlView *const v = rl_controller_view(host.controller);
  assert_int_equal(v->phrases.library->count, FILES);
  assert_string_equal(v->phrases.library->phrase[FILES - 1].title, "Plank 9999");
  click(RL_ACTION_PHRASE_SELECT, 7);
  assert_non_null(strstr(v->edit.error, "line 6, column 7"));
  assert_int_equal(v->phrases.plan->planned_count, 0);
  click(RL_ACTION_PHRASE_PUT, 0);
  assert_string_equal(host.text[RL_PLAN], "");
  click(RL_ACTION_PHRASE_SELECT, 8);
  assert_string_equal(v->edit.error, "");
  assert_true(v->phrases.lane->notes == 4);
  large_library_scrolls(FILES);
  large_library_is_searched();
  close_controller();
  for (int i = 0; i < FILES; ++i) {
    snprintf(path, sizeof(path), "%s/%05d.abc", folder, i);
    unlink(path);
  }
  assert_int_equal(rmdir(folder), 0);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(a_phrase_is_looked_at_and_put_on_its_bar),
    cmocka_unit_test(a_wrong_plan_is_named_where_it_is_typed),
    cmocka_unit_test(a_poor_library_is_used_as_far_as_it_goes),
    cmocka_unit_test(old_books_are_read_and_what_was_left_out_is_shown),
    cmocka_unit_test(a_large_library_opens_and_a_wrong_phrase_is_named),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
