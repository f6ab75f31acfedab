/* SPDX-License-Identifier: ISC */
/* The phrase library when memory runs out: each request fails once, and each time the problem says
   so, what could be read is there, and nothing leaks. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "../failing_memory.h"
#include "ui/files/library.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

enum { TUNES = 200 /* more than the first blocks hold, of phrases and of text */ };

static char folder[64], tunes[128], midi[128], kept[128];

static void
file_write(const char *const path, const void *const bytes, const size_t size)
{
  FILE *const file = fopen(path, "wb");
  assert_non_null(file);
  assert_int_equal(fwrite(bytes, 1, size, file), size);
  assert_int_equal(fclose(file), 0);
}

static int
folder_make(void **state)
{
  static const uint8_t bell[] = {'M', 'T', 'h', 'd', 0, 0,  0, 6,  0,    0,    0,  1,  0, 1,
                                 'M', 'T', 'r', 'k', 0, 0,  0, 18, 32,   0x90, 67, 80, 1, 67,
                                 0,   0,   71,  80,  1, 71, 0, 0,  0xFF, 0x2F, 0,  0};
  static char          text[TUNES * 640];
  RlText               all = rl_text_in(text, sizeof(text));
  (void)state;
  snprintf(folder, sizeof(folder), "/tmp/reedlamp-library-XXXXXX");
  assert_non_null(mkdtemp(folder));
  for (int i = 0; i < TUNES; ++i) {
    rl_text_add(&all, "X:1\nT:Heron ");
    rl_text_add_int(&all, i);
    rl_text_add(&all, "\n");
    for (int note = 0; note < 8; ++note) {
      rl_text_add(&all, "N:where the herons stand in the morning, before the boats come\n");
    }
    rl_text_add(&all, "K:G\nG8|\n\n");
  }
  snprintf(tunes, sizeof(tunes), "%s/a.abc", folder);
  snprintf(midi, sizeof(midi), "%s/b.mid", folder);
  snprintf(kept, sizeof(kept), "%s/kept.abc", folder);
  file_write(tunes, text, all.used);
  file_write(midi, bell, sizeof(bell));
  return 0;
}

static int
folder_remove(void **state)
{
  (void)state;
  unlink(tunes);
  unlink(midi);
  unlink(kept);
  return rmdir(folder);
}

/* Blocks in use. The names of a folder's files are the C library's, which is not counted, and the
   phrase library frees them: those of each reading are counted here. */
static int
blocks(const int readings, const int files)
{
  return failing_memory_live() + readings * (files + 1);
}

static void
what_cannot_be_read_for_want_of_memory_is_named(void **state)
{
  static RlLibrary library;
  (void)state;
  failing_memory_at(-1);
  rl_library_read(&library, folder, NULL);
  const int requests = failing_memory_asked();
  const int whole    = library.count;
  assert_int_equal(whole, TUNES + 1);
  assert_string_equal(library.problem, "");
  rl_library_free(&library);
  assert_true(requests >= 4);
  for (int n = 0; n < requests; ++n) {
    failing_memory_at(n);
    rl_library_read(&library, folder, NULL);
    assert_true(library.count < whole);
    assert_non_null(
      strstr(library.problem, ": not enough memory to read it; close another program"));
    for (int i = 0; i < library.count; ++i) {
      assert_true(rl_library_tune(&library, i).length > 0);
    }
    failing_memory_at(-1);
    rl_library_read(&library, folder, NULL); /* again, with memory */
    assert_int_equal(library.count, whole);
    assert_string_equal(library.problem, "");
    rl_library_free(&library);
    assert_int_equal(blocks(3 + 2 * n, 2), 0);
  }
}

static void
what_cannot_be_kept_or_written_down_is_named(void **state)
{
  static RlLibrary library;
  static RlPhrase  phrase;
  RlAbcError       error;
  char             words[256];
  RlText           why = rl_text_in(words, sizeof(words));
  int              bar = 0;
  (void)state;
  failing_memory_at(-1);
  const int before = failing_memory_live();
  rl_library_read(&library, folder, NULL);
  assert_true(rl_abc_read(rl_slice("X:1\nT:Kept\nK:G\nG8|\n"), &phrase, &error));
  failing_memory_at(0);
  assert_false(rl_library_keep(&library, folder, &phrase));
  assert_string_equal(
    library.problem,
    "phrases: not enough memory to keep it; close another program and do it again");
  assert_int_not_equal(access(kept, F_OK), 0);
  failing_memory_at(0);
  assert_false(rl_library_midi(&library, TUNES, NULL, rl_key_named(7, false), &phrase, &bar, &why));
  assert_non_null(strstr(words, "not enough memory; close another program"));
  failing_memory_at(-1);
  assert_true(rl_library_midi(&library, TUNES, NULL, rl_key_named(7, false), &phrase, &bar, &why));
  assert_true(rl_abc_read(rl_slice("X:1\nT:Kept\nK:G\nG8|\n"), &phrase, &error));
  assert_true(rl_library_keep(&library, folder, &phrase));
  assert_int_equal(access(kept, F_OK), 0);
  rl_library_free(&library);
  assert_int_equal(blocks(1, 2), before);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(what_cannot_be_read_for_want_of_memory_is_named),
    cmocka_unit_test(what_cannot_be_kept_or_written_down_is_named),
  };
  return cmocka_run_group_tests(tests, folder_make, folder_remove);
}
