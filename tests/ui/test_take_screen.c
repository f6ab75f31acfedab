/* SPDX-License-Identifier: ISC */
/* Takes on the screen of phrases, by mouse and keyboard: captured, chosen from bars, put right,
   kept, from files. */
#include "hands.h"
#include "tests/core/ear/horn.h"
#include "ui/controller/controller.h"
#include "ui/files/clip_lift.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>
#include <unistd.h>

#include <cmocka.h>

/* The button goes down on one bar and up on another. */
static void
drag(const int from, const int to)
{
  RlInput hand = on_spot(RL_INPUT_PRESS, RL_ACTION_BAR_EDIT, from);
  rl_controller_input(host.controller, &hand, host.now);
  look();
  for (int bar = from; bar != to + (to > from ? 1 : -1); bar += to > from ? 1 : -1) {
    hand = on_spot(RL_INPUT_MOVE, RL_ACTION_BAR_EDIT, bar);
    rl_controller_input(host.controller, &hand, host.now);
    look();
  }
  hand.kind = RL_INPUT_RELEASE;
  rl_controller_input(host.controller, &hand, host.now);
  look();
}

/* ---- takes ---- */

static const char two_takes[] = "bar 9: Take 1\nbar 10 beat 3: Take 2\n\n"
                                "X:1\nT:Take 1\nM:4/4\nL:1/8\nK:G\n\"D7\"D4 z4|\n\n"
                                "X:1\nT:Take 2\nM:4/4\nL:1/8\nK:G\n\"C7\"C2 E2 G2 c2|\n";

/* It reports what has become of them. */
static void
takes_told(void)
{
  rl_controller_hear_text(host.controller, RL_TAKE, host.takes);
  look();
  assert_int_equal(host.refused, 0);
}

static void
capture_is_switched_on_and_shown(void **state)
{
  (void)state;
  for (int way = 0; way < WAYS; ++way) {
    open_controller(NULL);
    ways[way](RL_ACTION_CAPTURE, 0);
    assert_int_equal(host.set[host.sets - 1].port, RL_PORT_CAPTURE);
    close_controller();
  }
}

/* While the plan is typed takes come and go: what was looked at before is looked at still, and it
   is that one that is put. */
static void
what_is_looked_at_outlasts_a_text(void **state)
{
  static const char *const comes[] = {two_takes, "", "bar 3: Take 1\n\nX:1\nT:Take 1\nK:G\nG8|\n"};
  (void)state;
  open_controller(NULL);
  library_open();
  key('p');
  const RlView *const v = rl_controller_view(host.controller);
  click(RL_ACTION_PHRASE_SELECT, 7);
  char title[RL_PHRASE_TITLE_SIZE], wanted[128];
  snprintf(title, sizeof(title), "%s", rl_view_phrase_title(v, v->phrases.selected));
  for (int i = 0; i < 3; ++i) {
    click(RL_ACTION_PLAN_TEXT, 0);
    takes_come(comes[i]);
    click(RL_ACTION_EDIT_CANCEL, 0);
    assert_string_equal(rl_view_phrase_title(v, v->phrases.selected), title);
    assert_string_equal(v->phrases.plan->phrase[0].title, title);
    click(RL_ACTION_PHRASE_PUT, 0);
    snprintf(wanted, sizeof(wanted), "bar %d: %s\n\nX:", v->phrases.planned.bar, title);
    assert_non_null(strstr(host.text[RL_PLAN], wanted));
    snprintf(wanted, sizeof(wanted), "\nT:%s\n", title);
    assert_non_null(strstr(host.text[RL_PLAN], wanted));
  }
  click(RL_ACTION_PHRASE_SELECT, 0);
  click(RL_ACTION_PLAN_TEXT, 0);
  takes_come(two_takes);
  click(RL_ACTION_EDIT_CANCEL, 0);
  assert_string_equal(v->phrases.plan->phrase[0].title,
                      rl_view_phrase_title(v, v->phrases.selected));
  close_controller();
}

/* A take that arrives on the screen of phrases is selected, on the bar where it was played. */
static void
a_new_take_is_looked_at_on_its_bar(void **state)
{
  (void)state;
  open_controller(NULL);
  library_open();
  takes_come(two_takes);
  key('p');
  const RlView *const v = rl_controller_view(host.controller);
  assert_int_equal(rl_view_phrases(v), 22);
  assert_int_equal(v->phrases.selected, 1);
  assert_int_equal(v->phrases.planned.bar, 10);
  assert_string_equal(rl_view_phrase_title(v, 1), "Take 2");
  assert_true(v->phrases.lane->notes == 4);
  takes_come("bar 3: Take 1\n\nX:1\nT:Take 1\nK:G\nG8|\n");
  look();
  assert_int_equal(rl_view_phrases(v), 21); /* fewer than before: nothing new */
  close_controller();
}

/* By the mouse alone: dragged over, in either direction; a click is still a click. */
static void
bars_are_chosen_by_dragging_and_written_down(void **state)
{
  int first, last;
  (void)state;
  open_controller(NULL);
  const RlView *const v = rl_controller_view(host.controller);
  for (int back = 0; back < 2; ++back) {
    host.text[RL_LIFT][0] = '\0';
    drag(back ? 5 : 2, back ? 2 : 5);
    assert_true(rl_view_chosen(v, &first, &last));
    assert_int_equal(first, 2);
    assert_int_equal(last, 5);
    assert_int_equal(v->edit.kind, RL_EDIT_NOTHING); /* no bar was opened */
    assert_int_equal(spot_of(RL_ACTION_CAPTURE, 0), -1);
    assert_string_equal(host.text[RL_LIFT], "");
    click(RL_ACTION_BARS_LIFT, 0);
    assert_string_equal(host.text[RL_LIFT], "bars: 3-6");
    assert_false(rl_view_chosen(v, &first, &last));
  }
  drag(3, 4);
  click(RL_ACTION_BAR_EDIT, 7); /* chooses none, and opens it */
  assert_false(rl_view_chosen(v, &first, &last));
  assert_int_equal(v->edit.kind, RL_EDIT_BAR);
  assert_int_equal(v->edit.bar, 7);
  close_controller();
}

/* By keys alone: from the bar with the focus, else from the one that plays. */
static void
bars_are_chosen_by_keys_and_written_down(void **state)
{
  int first, last;
  (void)state;
  open_controller(NULL);
  const RlView *const v = rl_controller_view(host.controller);
  walk_to(RL_ACTION_BAR_EDIT, 2);
  shift_arrow(RL_KEY_RIGHT);
  shift_arrow(RL_KEY_DOWN);
  shift_arrow(RL_KEY_LEFT);
  assert_true(rl_view_chosen(v, &first, &last));
  assert_int_equal(first, 2);
  assert_int_equal(last, 6);
  key(RL_KEY_ENTER);
  assert_string_equal(host.text[RL_LIFT], "bars: 3-7");
  assert_int_equal(v->edit.kind, RL_EDIT_NOTHING);
  key(RL_KEY_ESCAPE);
  shift_arrow(RL_KEY_UP); /* nothing plays: bar 1 */
  assert_true(rl_view_chosen(v, &first, &last));
  assert_int_equal(first, 0);
  assert_int_equal(last, 0);
  for (int i = 0; i < 5; ++i) {
    shift_arrow(RL_KEY_DOWN);
  }
  assert_true(rl_view_chosen(v, &first, &last));
  assert_int_equal(last, 11);
  key(RL_KEY_ESCAPE);
  assert_false(rl_view_chosen(v, &first, &last));
  shift_arrow(RL_KEY_RIGHT);
  walk_and_enter(RL_ACTION_BARS_LIFT, 0);
  assert_string_equal(host.text[RL_LIFT], "bars: 1");
  close_controller();
}

static void
a_take_is_put_right_kept_and_put_on_a_bar(void **state)
{
  (void)state;
  for (int way = 0; way < WAYS; ++way) {
    char folder[] = "/tmp/reedlamp-takes-XXXXXX";
    char path[128], deep[96];
    char text[256] = {0};
    assert_non_null(mkdtemp(folder));
    snprintf(deep, sizeof(deep), "%s/a/phrases", folder);
    open_controller(NULL);
    rl_controller_set_phrase_files(host.controller, deep, NULL);
    takes_come(two_takes);
    ways[way](RL_ACTION_PHRASES, 0);
    const RlView *const v = rl_controller_view(host.controller);
    ways[way](RL_ACTION_PHRASE_PANEL, RL_PHRASE_PANEL_EDIT);
    ways[way](RL_ACTION_NOTE_SELECT, 1);
    assert_int_equal(v->phrases.note, 1);
    ways[way](RL_ACTION_NOTE_EDIT, RL_NOTE_LATER);
    takes_told();
    assert_non_null(strstr(host.takes, "\"C7\"C5/E3/ G2 c2|"));
    assert_int_equal(v->phrases.selected, 1);
    ways[way](RL_ACTION_NOTE_EDIT, RL_NOTE_REMOVE);
    takes_told();
    assert_non_null(strstr(host.takes, "\"C7\"C5/z3/ G2 c2|"));
    assert_non_null(strstr(host.takes, "\"D7\"D4 z4|")); /* the other as it was */
    ways[way](RL_ACTION_PHRASE_PANEL, RL_PHRASE_PANEL_EDIT);
    ways[way](RL_ACTION_PHRASE_PUT, 0);
    plan_told();
    assert_memory_equal(host.text[RL_PLAN], "bar 10: Take 2\n\n", 16);
    ways[way](RL_ACTION_TAKE_KEEP, 0);
    takes_told();
    assert_string_equal(v->edit.error, "");
    assert_string_equal(host.text[RL_TAKE_EDIT], "keep: Take 2\ntaken: 0\n");
    assert_null(strstr(host.takes, "Take 2"));
    assert_int_equal(v->phrases.library->count, 1);
    assert_string_equal(v->phrases.library->phrase[0].title, "Take 2");
    snprintf(path, sizeof(path), "%s/take-2.abc", deep);
    FILE *const file = fopen(path, "r");
    assert_non_null(file);
    assert_true(fread(text, 1, sizeof(text) - 1, file) > 0);
    assert_non_null(strstr(text, "\nT:Take 2\n"));
    fclose(file);
    ways[way](RL_ACTION_PHRASE_SELECT, 0);
    ways[way](RL_ACTION_PHRASE_PANEL, RL_PHRASE_PANEL_EDIT);
    ways[way](RL_ACTION_NOTE_EDIT, RL_NOTE_REMOVE);
    assert_non_null(strstr(v->edit.error, "a phrase needs a note"));
    ways[way](RL_ACTION_PHRASE_PANEL, RL_PHRASE_PANEL_EDIT);
    ways[way](RL_ACTION_TAKE_DISCARD, 0);
    takes_told();
    assert_string_equal(host.text[RL_TAKE_EDIT], "drop: Take 1\ntaken: 0\n"); /* of none played */
    assert_string_equal(host.takes, "");
    assert_int_equal(rl_view_phrases(v), 1);
    close_controller();
    unlink(path);
    rmdir(deep);
    snprintf(deep, sizeof(deep), "%s/a", folder);
    rmdir(deep);
    assert_int_equal(rmdir(folder), 0);
  }
}

/* A take that was corrected after it was put into the plan is put again as it is now. */
static void
what_is_put_again_is_the_newest(void **state)
{
  (void)state;
  open_controller(NULL);
  library_open();
  takes_come(two_takes);
  key('p');
  click(RL_ACTION_PHRASE_PUT, 0);
  plan_told();
  assert_non_null(strstr(host.text[RL_PLAN], "C2 E2 G2 c2|"));
  click(RL_ACTION_PHRASE_PANEL, RL_PHRASE_PANEL_EDIT);
  click(RL_ACTION_NOTE_EDIT, RL_NOTE_REMOVE);
  takes_told();
  click(RL_ACTION_PHRASE_PANEL, RL_PHRASE_PANEL_EDIT);
  click(RL_ACTION_PHRASE_BAR, 1);
  click(RL_ACTION_PHRASE_PUT, 0);
  plan_told();
  assert_null(strstr(host.text[RL_PLAN], "C2 E2 G2 c2|"));
  assert_non_null(strstr(host.text[RL_PLAN], "\"C7\"z2 E2 G2 c2|"));
  assert_memory_equal(host.text[RL_PLAN], "bar 10: Take 2\nbar 11: Take 2\n\nX:1\nT:Take 2\n", 44);
  assert_string_equal(rl_controller_view(host.controller)->edit.error, "");
  close_controller();
}

/* A title that the library has gets another number; no file is written over; and what cannot be
   kept stays a take, and it is said. */
static void
keeping_writes_over_nothing(void **state)
{
  char folder[] = "/tmp/reedlamp-takes-XXXXXX";
  char path[128], second[128];
  (void)state;
  assert_non_null(mkdtemp(folder));
  snprintf(path, sizeof(path), "%s/mine.abc", folder);
  file_write(path, "X:1\nT:Take 1\nK:G\nG8|\n");
  snprintf(second, sizeof(second), "%s/take-2.abc", folder);
  file_write(second, "not to be lost");
  open_controller(NULL);
  rl_controller_set_phrase_files(host.controller, folder, NULL);
  takes_come("bar 9: Take 1\n\nX:1\nT:Take 1\nK:G\nG4 B4|\n");
  key('p');
  click(RL_ACTION_TAKE_KEEP, 0);
  takes_told();
  const RlView *const v = rl_controller_view(host.controller);
  assert_int_equal(v->phrases.library->count, 2);
  assert_string_equal(v->phrases.library->phrase[0].title, "Take 2");
  char  text[64] = {0};
  FILE *file     = fopen(second, "r");
  assert_true(fread(text, 1, sizeof(text) - 1, file) > 0);
  assert_string_equal(text, "not to be lost");
  fclose(file);
  key(RL_KEY_ESCAPE); /* it keeps its title */
  rl_controller_set_phrase_files(host.controller, "/proc/no/such", NULL);
  takes_come(two_takes);
  look();
  memset(host.text[RL_TAKE_EDIT], 0, sizeof(host.text[0]));
  click(RL_ACTION_TAKE_KEEP, 0);
  assert_non_null(strstr(v->edit.error, "/proc/no/such"));
  assert_string_equal(host.text[RL_TAKE_EDIT], "");
  assert_string_equal(host.takes, two_takes);
  close_controller();
  unlink(path);
  unlink(second);
  snprintf(path, sizeof(path), "%s/2-take-2.abc", folder);
  unlink(path);
  assert_int_equal(rmdir(folder), 0);
}

/* A title that fills its room loses whole letters to its number. */
static void
a_long_title_stays_a_text(void **state)
{
  char folder[] = "/tmp/reedlamp-takes-XXXXXX";
  char path[128], text[256], title[64] = "a";
  (void)state;
  assert_non_null(mkdtemp(folder));
  for (int i = 0; i < 31; ++i) {
    memcpy(title + 1 + 2 * i, "\xc3\xb6", 3);
  }
  snprintf(path, sizeof(path), "%s/mine.abc", folder);
  snprintf(text, sizeof(text), "X:1\nT:%s\nK:G\nG8|\n", title);
  file_write(path, text);
  open_controller(NULL);
  rl_controller_set_phrase_files(host.controller, folder, NULL);
  snprintf(text, sizeof(text), "bar 9: %s\n\nX:1\nT:%s\nK:G\nG4 B4|\n", title, title);
  takes_come(text);
  key('p');
  click(RL_ACTION_TAKE_KEEP, 0);
  takes_told();
  const RlView *const v = rl_controller_view(host.controller);
  assert_string_equal(v->phrases.library->problem, "");
  assert_int_equal(v->phrases.library->count, 2);
  close_controller();
  unlink(path);
  snprintf(path, sizeof(path), "rm -r %s", folder);
  assert_int_equal(system(path), 0);
}

static void
bytes_write(const char *const path, const uint8_t *const bytes, const size_t size)
{
  FILE *const file = fopen(path, "wb");
  assert_non_null(file);
  assert_int_equal(fwrite(bytes, 1, size, file), size);
  assert_int_equal(fclose(file), 0);
}

/* A MIDI file in the folder is a phrase like others; looked at it becomes a take. A broken one
   is named. */
static void
a_midi_file_becomes_a_take(void **state)
{
  static const uint8_t bell[]   = {'M', 'T', 'h', 'd', 0, 0,  0, 6,  0,    0,    0,  1,  0, 1,
                                   'M', 'T', 'r', 'k', 0, 0,  0, 18, 32,   0x90, 67, 80, 1, 67,
                                   0,   0,   71,  80,  1, 71, 0, 0,  0xFF, 0x2F, 0,  0};
  char                 folder[] = "/tmp/reedlamp-midi-XXXXXX";
  char                 path[128], broken[128];
  (void)state;
  assert_non_null(mkdtemp(folder));
  snprintf(path, sizeof(path), "%s/landing bell.MID", folder);
  bytes_write(path, bell, sizeof(bell));
  folder_open(folder);
  const RlView *const v = rl_controller_view(host.controller);
  assert_int_equal(v->phrases.library->count, 1);
  assert_string_equal(v->phrases.library->phrase[0].title, "landing bell");
  assert_int_equal(v->phrases.selected, -1);
  assert_string_equal(host.text[RL_TAKE_EDIT], ""); /* not before it is asked for */
  click(RL_ACTION_PHRASE_SELECT, 0);
  takes_told();
  assert_int_equal(v->phrases.selected, 0);
  assert_int_equal(v->phrases.planned.bar, 9); /* where it lies in the file */
  assert_non_null(strstr(host.takes, "bar 9: landing bell\n\nX:1\nT:landing bell\nN:2 notes\n"));
  assert_non_null(strstr(host.takes, "G2 B2"));
  assert_true(v->phrases.lane->notes == 2);
  click(RL_ACTION_PHRASE_SELECT, 1);
  assert_string_equal(v->edit.error, "it is among the takes already");
  click(RL_ACTION_PHRASE_SELECT, 0);
  click(RL_ACTION_TAKE_DISCARD, 0);
  takes_told();
  assert_string_equal(host.takes, ""); /* and does not come back by itself */
  assert_int_equal(v->phrases.selected, -1);
  snprintf(broken, sizeof(broken), "%s/Lick, with the key\n%%.mid",
           folder); /* its name means nothing */
  bytes_write(broken, bell, sizeof(bell));
  key('p');
  key('p');
  click(RL_ACTION_PHRASE_SELECT, 0);
  takes_told();
  assert_non_null(strstr(host.takes, "bar 9: Lick  with the key"));
  assert_int_equal(v->phrases.lane->notes, 2);
  unlink(broken);
  snprintf(broken, sizeof(broken), "%s/broken.mid", folder);
  bytes_write(broken, bell, 20);
  key('p');
  key('p');
  assert_string_equal(v->phrases.library->problem,
                      "broken.mid: byte 14: no track in it; export the file again");
  close_controller();
  unlink(path);
  unlink(broken);
  assert_int_equal(rmdir(folder), 0);
}

/* A recording: four seconds of a synthetic horn, 16 bits, mono. */
static void
wav_write(const char *const path)
{
  enum { RATE = 22050, FRAMES = 4 * RATE };
  static uint8_t bytes[44 + 2 * FRAMES] =
    "RIFF....WAVEfmt \x10\0\0\0\1\0\1\0\x22\x56\0\0\x44\xAC\0\0"
    "\2\0\x10\0data";
  const uint32_t sizes[] = {sizeof(bytes) - 8, 2 * FRAMES};
  size_t         frames;
  float *const   sound = horn_record(RATE, 1, 1, 0, &frames);
  memcpy(bytes + 4, &sizes[0], 4);
  memcpy(bytes + 40, &sizes[1], 4);
  for (int i = 0; i < FRAMES; ++i) {
    const int16_t sample = (int16_t)lrintf(8000 * sound[2 * i]);
    memcpy(bytes + 44 + 2 * i, &sample, 2);
  }
  free(sound);
  bytes_write(path, bytes, sizeof(bytes));
}

/* A recording in the folder, looked at, is heard and becomes a take; once. */
static void
a_recording_becomes_a_take(void **state)
{
  const struct timespec pause    = {0, 5000000};
  char                  folder[] = "/tmp/reedlamp-clip-XXXXXX";
  char                  path[128];
  (void)state;
  if (!rl_clip_lift_can()) {
    skip();
  }
  assert_non_null(mkdtemp(folder));
  snprintf(path, sizeof(path), "%s/ferry bell.wav", folder);
  wav_write(path);
  folder_open(folder);
  const RlView *const v = rl_controller_view(host.controller);
  assert_int_equal(v->phrases.library->count, 1);
  assert_string_equal(v->phrases.library->phrase[0].title, "ferry bell");
  assert_string_equal(host.text[RL_TAKE_EDIT], ""); /* not before it is asked for */
  click(RL_ACTION_PHRASE_SELECT, 0);
  for (int i = 0; i < 12000 && !host.text[RL_TAKE_EDIT][0]; ++i) {
    nanosleep(&pause, NULL);
    rl_controller_look(host.controller, 0);
  }
  takes_told();
  assert_non_null(strstr(host.takes, "bar 1: ferry bell\n\nX:1\nT:ferry bell\nN:9 notes"));
  assert_non_null(strstr(host.takes, "tempo, bar 1 and key guessed\nN:sure "));
  assert_int_equal(v->phrases.selected, 0);
  click(RL_ACTION_TAKE_DISCARD, 0);
  takes_told();
  assert_string_equal(host.takes, ""); /* and does not come back by itself */
  close_controller();
  unlink(path);
  assert_int_equal(rmdir(folder), 0);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(capture_is_switched_on_and_shown),
    cmocka_unit_test(what_is_looked_at_outlasts_a_text),
    cmocka_unit_test(a_new_take_is_looked_at_on_its_bar),
    cmocka_unit_test(bars_are_chosen_by_dragging_and_written_down),
    cmocka_unit_test(bars_are_chosen_by_keys_and_written_down),
    cmocka_unit_test(a_take_is_put_right_kept_and_put_on_a_bar),
    cmocka_unit_test(what_is_put_again_is_the_newest),
    cmocka_unit_test(keeping_writes_over_nothing),
    cmocka_unit_test(a_long_title_stays_a_text),
    cmocka_unit_test(a_midi_file_becomes_a_take),
    cmocka_unit_test(a_recording_becomes_a_take),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
