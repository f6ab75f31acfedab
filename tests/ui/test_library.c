/* SPDX-License-Identifier: ISC */
/* The library of phrases: every part of a MIDI file has a title of its own or is said to be left
   out, and files are found whatever the case of their extension. */
#include "ui/files/library.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include <cmocka.h>

static char      folder[] = "/tmp/reedlamp-library-XXXXXX";
static char      path[128];
static RlLibrary library;

/* A part: a note on a channel in a track of that name; NULL: without a name. */
typedef struct {
  const char *name;
  int         channel;
} Part;

static void
number_write(FILE *const to, const unsigned number, const int bytes)
{
  for (int i = bytes - 1; i >= 0; --i) {
    fputc((int)(number >> 8 * i & 255), to);
  }
}

static void
midi_write(const char *const name, const Part *const part, const int count)
{
  snprintf(path, sizeof(path), "%s/%s", folder, name);
  FILE *const to = fopen(path, "wb");
  assert_non_null(to);
  fputs("MThd", to);
  number_write(to, 6, 4);
  number_write(to, 1, 2);
  number_write(to, (unsigned)count, 2);
  number_write(to, 96, 2);
  for (int i = 0; i < count; ++i) {
    const size_t length = part[i].name ? strlen(part[i].name) : 0;
    fputs("MTrk", to);
    number_write(to, (unsigned)(12 + (part[i].name ? 4 + length : 0)), 4);
    if (part[i].name) {
      number_write(to, 0x00FF0300 | (unsigned)length, 4);
      fputs(part[i].name, to);
    }
    number_write(to, (0x9000U | 60U) | (unsigned)part[i].channel << 8, 3);
    number_write(to, 80, 1);
    number_write(to, 0x603C00, 3); /* a quarter later, its end by running status */
    number_write(to, 0x00FF2F00, 4);
    fputc(0, to);
  }
  assert_int_equal(fclose(to), 0);
}

static void
library_read(void)
{
  rl_library_read(&library, folder, NULL);
  unlink(path);
}

static void
titles_differ(void)
{
  for (int i = 0; i < library.count; ++i) {
    for (int k = 0; k < i; ++k) {
      assert_string_not_equal(library.phrase[i].title, library.phrase[k].title);
    }
  }
}

static void
parts_left_out_are_said(void **state)
{
  Part part[40];
  (void)state;
  for (int i = 0; i < 40; ++i) {
    part[i] = (Part){NULL, i % 9};
  }
  midi_write("quayside.mid", part, 40);
  library_read();
  assert_int_equal(library.count, 32);
  assert_string_equal(library.problem,
                      "quayside.mid: 40 parts; the last 8 are left out; export fewer to one file");
  titles_differ();
  midi_write("quayside.mid", part, 32);
  library_read();
  assert_int_equal(library.count, 32);
  assert_string_equal(library.problem, "");
}

static void
parts_have_titles_of_their_own(void **state)
{
  static const Part        part[]   = {{NULL, 0},   {NULL, 0},   {NULL, 1},   {"Harp", 2},
                                       {"Harp", 3}, {"Bass", 4}, {"\xFF", 5}, {"\xFE", 5}};
  static const char *const titles[] = {
    "quay - track 1 channel 1",      "quay - track 2 channel 1",      "quay - channel 2",
    "quay - Harp track 4 channel 3", "quay - Harp track 5 channel 4", "quay - Bass",
    "quay - MIDI track 7 channel 6", "quay - MIDI track 8 channel 6"};
  (void)state;
  midi_write("quay.midi", part, 8);
  library_read();
  assert_string_equal(library.problem, "");
  assert_int_equal(library.count, 8);
  for (int i = 0; i < 8; ++i) {
    assert_string_equal(library.phrase[i].title, titles[i]);
  }
}

/* A long name leaves space for what tells the parts apart. */
static void
long_names_have_titles_of_their_own(void **state)
{
  static const char longest[] = "The Song of the Night Ferry as the Cook Played It on a Wet Night";
  static const Part part[]    = {{NULL, 0}, {NULL, 1}, {longest, 2}, {longest, 3}};
  (void)state;
  midi_write("The Song of the Night Ferry as the Cook Played It on a Wet Sunday.mid", part, 4);
  library_read();
  assert_int_equal(library.count, 4);
  titles_differ();
  assert_non_null(strstr(library.phrase[1].title, " - channel 2"));
}

static void
an_extension_in_capitals_is_found(void **state)
{
  (void)state;
  snprintf(path, sizeof(path), "%s/bell.ABC", folder);
  FILE *const to = fopen(path, "w");
  assert_non_null(to);
  fputs("X:1\nT:Tide Bell\nK:G\nG8|\n", to);
  fclose(to);
  library_read();
  assert_int_equal(library.count, 1);
  assert_string_equal(library.phrase[0].title, "Tide Bell");
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(parts_left_out_are_said),
    cmocka_unit_test(parts_have_titles_of_their_own),
    cmocka_unit_test(long_names_have_titles_of_their_own),
    cmocka_unit_test(an_extension_in_capitals_is_found),
  };
  if (!mkdtemp(folder)) {
    return EXIT_FAILURE;
  }
  const int failed = cmocka_run_group_tests(tests, NULL, NULL);
  rl_library_free(&library);
  rmdir(folder);
  return failed;
}
