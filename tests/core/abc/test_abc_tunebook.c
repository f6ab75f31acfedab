/* SPDX-License-Identifier: ISC */
/* The tunes of tunebook.txt: at least 97 of 100 are read, and all that are have the notes written
   below them. The project's own folder is the first argument. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "core/abc/abc.h"

#include <stdio.h>
#include <string.h>

enum { TUNES_AT_LEAST = 300, NOTES_SIZE = 4096 };

static const char *project_dir = ".";
static RlPhrase    phrase;

static RlSlice
book_read(void)
{
  static char buffer[1 << 18];
  char        path[400];
  snprintf(path, sizeof(path), "%s/tests/core/abc/tunebook.txt", project_dir);
  FILE *const file = fopen(path, "rb");
  assert_non_null(file);
  const size_t n = fread(buffer, 1, sizeof(buffer), file);
  fclose(file);
  assert_true(n < sizeof(buffer));
  return (RlSlice){buffer, n};
}

/* What stands behind `%= `. */
static RlSlice
expected_of(RlSlice tune)
{
  while (tune.length && !rl_slice_begins(tune, "%= ")) {
    tune = rl_slice_after(tune, rl_slice_until(tune, "\n") + 1);
  }
  return rl_slice_trim(rl_slice_after(tune, 3));
}

/* `67@0:6 …`: pitch, onset, length in twelfths of a quarter, which all of them are. */
static const char *
notes_of(const RlPhrase *const p)
{
  static char buffer[NOTES_SIZE];
  RlText      out = rl_text_in(buffer, sizeof(buffer));
  for (int i = 0; i < p->notes; ++i) {
    assert_int_equal(p->note[i].at % (RL_TICKS / 12), 0);
    assert_int_equal(p->note[i].lasts % (RL_TICKS / 12), 0);
    rl_text_add(&out, i ? " " : "");
    rl_text_add_int(&out, rl_phrase_pitch(p, &p->note[i]));
    rl_text_add(&out, "@");
    rl_text_add_int(&out, p->note[i].at / (RL_TICKS / 12));
    rl_text_add(&out, ":");
    rl_text_add_int(&out, p->note[i].lasts / (RL_TICKS / 12));
  }
  return buffer;
}

static void
tunes_are_read_and_none_is_wrong(void **state)
{
  (void)state;
  RlAbcBook book  = rl_abc_book(book_read());
  int       tunes = 0;
  int       read  = 0;
  for (RlSlice tune = rl_abc_next(&book); tune.length; tune = rl_abc_next(&book)) {
    RlAbcError    error;
    const RlSlice notes = expected_of(tune);
    ++tunes;
    if (!rl_abc_read(tune, &phrase, &error)) {
      print_message("line %d: refused: %s\n", book.line + error.line - 1, error.reason);
      continue;
    }
    ++read;
    if (!rl_slice_is(notes, notes_of(&phrase))) {
      fail_msg("line %d: %s, but it should be %.*s", book.line, notes_of(&phrase),
               (int)notes.length, notes.at);
    }
  }
  print_message("%d of %d tunes are read\n", read, tunes);
  assert_true(tunes >= TUNES_AT_LEAST);
  assert_true(100 * read >= 97 * tunes);
}

int
main(const int argc, char **const argv)
{
  const struct CMUnitTest tests[] = {cmocka_unit_test(tunes_are_read_and_none_is_wrong)};
  project_dir                     = argc > 1 ? argv[1] : project_dir;
  return cmocka_run_group_tests(tests, NULL, NULL);
}
