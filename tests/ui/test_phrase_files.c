/* SPDX-License-Identifier: ISC */
/* Files of phrases: the library after one file was changed is the library that would be read; and
   what is written is written whole, over nothing that somebody else has written. */
#include "scratch.h"
#include "ui/files/library.h"
#include "ui/files/phrase_scan.h"
#include "ui/files/phrase_writer.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <time.h>
#include <unistd.h>

#include <cmocka.h>

static RlLibrary library, again;

static uint64_t chance_state = 4;

static int
chance(const int below)
{
  chance_state = chance_state * 6364136223846793005U + 1442695040888963407U;
  return (int)((chance_state >> 33U) % (uint64_t)below);
}

/* ---- the library ---- */

static void
libraries_compare(void)
{
  rl_library_read(&again, root, in("book.txt"));
  assert_int_equal(library.files, again.files);
  assert_int_equal(library.count, again.count);
  for (int i = 0; i < library.files; ++i) {
    const RlSlice a = rl_library_file_text(&library, i), b = rl_library_file_text(&again, i);
    assert_string_equal(rl_library_file_name(&library, i), rl_library_file_name(&again, i));
    assert_int_equal(a.length, b.length);
    assert_memory_equal(a.at, b.at, a.length);
    assert_int_equal(library.file[i].latin1, again.file[i].latin1);
  }
  for (int i = 0; i < library.count; ++i) {
    const RlLibraryPhrase *const p = &library.phrase[i], *const q = &again.phrase[i];
    const RlSlice a = rl_library_tune(&library, i), b = rl_library_tune(&again, i);
    assert_string_equal(p->title, q->title);
    assert_int_equal(p->file, q->file);
    assert_int_equal(p->from, q->from);
    assert_int_equal(p->size, q->size);
    assert_int_equal(a.length, b.length);
    assert_memory_equal(a.at, b.at, a.length);
  }
}

/* Up to three tunes, perhaps under a head for all of them. */
static void
random_file(char *const text, const size_t size)
{
  RlText to = rl_text_in(text, size);
  rl_text_add(&to, chance(3) ? "" : "M:3/4\nL:1/16\n\n");
  rl_text_add(&to, chance(2) ? "" : "Some words about them.\n\n");
  for (int i = chance(4); i > 0; --i) {
    rl_text_add(&to, "X:1\nT:Coil ");
    rl_text_add_int(&to, chance(100000));
    rl_text_add(&to, "\nK:G\nG8|\n\n");
  }
}

static void
a_changed_file_is_as_if_it_were_read(void **state)
{
  static const char *const names[] = {"a.abc", "b.abc", "k.abc", "l.ABC", "z.abc"};
  char                     text[512];
  (void)state;
  write_file("book.txt", "X:1\nT:Bell\nK:G\nG8|\n");
  write_file("c.abc", "X:1\nT:Cold\nK:G\nG8|\n\nX:2\nT:Colder\nK:G\nA8|\n");
  write_file("m.abc", "X:1\nT:Caf\xE9\nK:G\nG8|\n");
  rl_library_read(&library, root, in("book.txt"));
  assert_int_equal(library.count, 4);
  for (int i = 0; i < 3000; ++i) {
    const char *const name = names[chance(5)];
    const bool        gone = !chance(4);
    random_file(text, sizeof(text));
    assert_true(rl_library_file_put(&library, name, gone ? NULL : text));
    if (gone) {
      unlink(in(name));
    } else {
      write_file(name, text);
    }
    if (i % 10 == 0) {
      libraries_compare();
    }
  }
  libraries_compare();
  assert_true(library.used < 1 << 18); /* what belongs to no file is given up */
  rl_library_free(&library);
  rl_library_free(&again);
}

/* Latin-1 in, the same bytes out; what it has no letter for is refused. */
static void
latin1_stays_latin1(void **state)
{
  char bytes[64];
  (void)state;
  write_file("m.abc", "X:1\nT:Caf\xE9 \xFC\nK:G\nG8|\n");
  rl_library_read(&library, root, NULL);
  const RlSlice   text = rl_library_file_text(&library, rl_library_file_find(&library, "m.abc"));
  const ptrdiff_t n    = rl_library_file_bytes(true, text, bytes);
  assert_int_equal(n, 21);
  assert_memory_equal(bytes, "X:1\nT:Caf\xE9 \xFC\nK:G\nG8|\n", 21);
  assert_int_equal(rl_library_file_bytes(true, rl_slice("B\xE2\x99\xAD"), bytes), -1);
  rl_library_free(&library);
}

static void
names_and_titles_are_free(void **state)
{
  char   name[80], title[RL_PHRASE_TITLE_SIZE] = "Cold";
  RlText to = rl_text_in(name, sizeof(name));
  (void)state;
  write_file("cold.abc", "X:1\nT:Cold\nK:G\nG8|\n");
  write_file("2-cold.abc", "X:1\nT:Cold 2\nK:G\nG8|\n");
  rl_library_read(&library, root, NULL);
  rl_library_title_free(&library, title);
  assert_string_equal(title, "Cold 3");
  rl_library_file_new_name(&library, "Cold", &to);
  assert_string_equal(name, "3-cold.abc");
  rl_library_free(&library);
}

static void
it_is_read_in_the_background(void **state)
{
  RlPhraseScan *scan;
  (void)state;
  write_file("cold.abc", "X:1\nT:Cold\nK:G\nG8|\n");
  RlBackground *const reading = rl_phrase_scan_begin(root, "", &scan);
  assert_non_null(reading);
  while (!rl_background_done(reading)) {
    nanosleep(&(struct timespec){0, 100000}, NULL);
  }
  assert_int_equal(scan->library.count, 1);
  rl_background_end(reading);
}

/* ---- the writer ---- */

static RlPhraseWriter *writer;

static void
wait(void)
{
  while (rl_phrase_writer_busy(writer)) {
    nanosleep(&(struct timespec){0, 100000}, NULL);
  }
}

static void
add(const char *const name, const char *const was, const char *const is)
{
  const RlSlice none = {NULL, 0};
  assert_true(
    rl_phrase_writer_add(writer, in(name), was ? rl_slice(was) : none, is ? rl_slice(is) : none));
}

static int
writer_open(void **state)
{
  (void)state;
  root_empty();
  writer = rl_phrase_writer_new();
  return !writer;
}

static int
writer_close(void **state)
{
  (void)state;
  rl_phrase_writer_free(writer);
  return 0;
}

static void
none_failed(void)
{
  RlWriteResult result;
  wait();
  if (rl_phrase_writer_failed(writer, &result)) {
    print_error("%s: %s\n", result.path, result.why);
    fail();
  }
}

static void
one_failed(const RlWriteFailure kind, const char *const name)
{
  RlWriteResult result;
  wait();
  assert_true(rl_phrase_writer_failed(writer, &result));
  assert_int_equal(result.kind, kind);
  assert_string_equal(result.path, in(name));
  assert_false(rl_phrase_writer_failed(writer, &result));
}

/* Many one after the other, faster than they are written: the last one stays, and the file's mode.
 */
static void
files_are_written_one_after_the_other(void **state)
{
  char        was[32] = "0", is[32];
  struct stat file;
  (void)state;
  write_file("a.abc", "0");
  assert_int_equal(chmod(in("a.abc"), 0640), 0);
  for (int i = 1; i <= 200; ++i) {
    snprintf(is, sizeof(is), "%d", i);
    add("a.abc", was, is);
    memcpy(was, is, sizeof(was));
  }
  add("new.abc", NULL, "new");
  none_failed();
  file_is("a.abc", "200");
  file_is("new.abc", "new");
  assert_int_equal(stat(in("a.abc"), &file), 0);
  assert_int_equal(file.st_mode & 0777, 0640);
  add("new.abc", "new", NULL);
  none_failed();
  assert_int_not_equal(access(in("new.abc"), F_OK), 0);
}

static void
what_somebody_else_wrote_stays(void **state)
{
  (void)state;
  write_file("a.abc", "theirs");
  add("a.abc", "mine", "mine again");
  one_failed(RL_WRITE_CHANGED, "a.abc");
  file_is("a.abc", "theirs");
  add("a.abc", "mine", NULL);
  one_failed(RL_WRITE_CHANGED, "a.abc");
  file_is("a.abc", "theirs");
  add("a.abc", NULL, "mine");
  one_failed(RL_WRITE_CHANGED, "a.abc");
  file_is("a.abc", "theirs");
  add("gone.abc", "mine", "mine again");
  one_failed(RL_WRITE_CHANGED, "gone.abc");
  assert_int_not_equal(access(in("gone.abc"), F_OK), 0);
}

/* What was to be written on top of what failed is dropped, and told once. */
static void
what_follows_a_failure_is_dropped(void **state)
{
  (void)state;
  write_file("a.abc", "theirs");
  write_file("b.abc", "0");
  for (int i = 0; i < 50; ++i) {
    add("a.abc", "mine", "theirs"); /* the second would hold */
    add("a.abc", "theirs", "mine");
  }
  add("b.abc", "0", "1");
  one_failed(RL_WRITE_CHANGED, "a.abc");
  file_is("a.abc", "theirs");
  file_is("b.abc", "1");
}

static void
what_cannot_be_written_is_said(void **state)
{
  RlWriteResult result;
  (void)state;
  assert_true(
    rl_phrase_writer_add(writer, "/proc/no/such/a.abc", (RlSlice){NULL, 0}, rl_slice("mine")));
  wait();
  assert_true(rl_phrase_writer_failed(writer, &result));
  assert_int_equal(result.kind, RL_WRITE_FAILED);
  assert_true(result.why[0]);
}

/* A writer that is let go of at once writes all the same. */
static void
a_closed_window_loses_nothing(void **state)
{
  char text[16] = "";
  (void)state;
  write_file("a.abc", "0");
  add("a.abc", "0", "1");
  add("a.abc", "1", "2");
  rl_phrase_writer_free(writer);
  writer = NULL;
  for (int i = 0; i < 10000 && strcmp(text, "2") != 0; ++i) {
    nanosleep(&(struct timespec){0, 1000000}, NULL);
    read_file(in("a.abc"), text, sizeof(text));
  }
  assert_string_equal(text, "2");
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test_setup_teardown(a_changed_file_is_as_if_it_were_read, writer_open,
                                    writer_close),
    cmocka_unit_test_setup_teardown(latin1_stays_latin1, writer_open, writer_close),
    cmocka_unit_test_setup_teardown(names_and_titles_are_free, writer_open, writer_close),
    cmocka_unit_test_setup_teardown(it_is_read_in_the_background, writer_open, writer_close),
    cmocka_unit_test_setup_teardown(files_are_written_one_after_the_other, writer_open,
                                    writer_close),
    cmocka_unit_test_setup_teardown(what_somebody_else_wrote_stays, writer_open, writer_close),
    cmocka_unit_test_setup_teardown(what_follows_a_failure_is_dropped, writer_open, writer_close),
    cmocka_unit_test_setup_teardown(what_cannot_be_written_is_said, writer_open, writer_close),
    cmocka_unit_test_setup_teardown(a_closed_window_loses_nothing, writer_open, writer_close),
  };
  if (!root_make()) {
    return EXIT_FAILURE;
  }
  const int failed = cmocka_run_group_tests(tests, NULL, NULL);
  root_remove();
  return failed;
}
