/* SPDX-License-Identifier: ISC */
/* Standard MIDI Files: their parts as phrases, and what is said of broken ones. What events are in
   a file is held against an outside reader in smf/check.mjs. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "core/abc/abc.h"
#include "core/capture/smf.h"
#include "core/chart/chart.h"

#include <string.h>

static RlSmfWorkspace room;
static RlSmfError     error;

#define FILE_OF(...)                                                                               \
  (RlSlice)                                                                                        \
  {                                                                                                \
    (const char *)(const uint8_t[]){__VA_ARGS__}, sizeof((const uint8_t[]){__VA_ARGS__})           \
  }
#define HEAD(type, tracks, division)                                                               \
  'M', 'T', 'h', 'd', 0, 0, 0, 6, 0, type, 0, tracks, (division) >> 8, (division)&255
#define TRACK(length) 'M', 'T', 'r', 'k', 0, 0, 0, length

/* Two tracks: key, meter and tempo in the first (E flat major, 3/4, 150), in the second a slow G,
   an F held bent on channel 2, and a drum. */
static RlSlice
two_tracks(void)
{
  static const uint8_t bytes[] = {HEAD(1, 2, 96),
                                  TRACK(25),
                                  0,
                                  0xFF,
                                  0x58,
                                  4,
                                  3,
                                  2,
                                  24,
                                  8,
                                  0,
                                  0xFF,
                                  0x59,
                                  2,
                                  0xFD,
                                  0,
                                  0,
                                  0xFF,
                                  0x51,
                                  3,
                                  6,
                                  0x1A,
                                  0x80,
                                  0,
                                  0xFF,
                                  0x2F,
                                  0,
                                  TRACK(39),
                                  0,
                                  0xFF,
                                  3,
                                  4,
                                  'H',
                                  'a',
                                  'r',
                                  'p',
                                  0,
                                  0x91,
                                  67,
                                  80,
                                  96,
                                  67,
                                  0,
                                  0,
                                  0xE1,
                                  0,
                                  0x20,
                                  0,
                                  0x99,
                                  40,
                                  90,
                                  0,
                                  0x91,
                                  65,
                                  80,
                                  0x81,
                                  0x40,
                                  65,
                                  0,
                                  0,
                                  0x99,
                                  40,
                                  0,
                                  0,
                                  0xFF,
                                  0x2F,
                                  0};
  return (RlSlice){(const char *)bytes, sizeof(bytes)};
}

static void
phrase_is(const RlSlice file, const int index, const int parts, const char *const abc)
{
  static char text[RL_ABC_MAX];
  RlText      out = rl_text_in(text, sizeof(text));
  RlSmfPart   part[RL_SMF_PARTS_MAX];
  assert_int_equal(rl_smf_parts(file, part, &error), parts);
  assert_true(rl_smf_phrase(file, part[index], NULL, rl_key_named(7, false), &room, &error));
  rl_abc_write(&room.notated.phrase, &out);
  assert_string_equal(strstr(text, "M:"), abc);
}

static void
a_part_becomes_a_phrase(void **state)
{
  RlSmfPart part[RL_SMF_PARTS_MAX];
  (void)state;
  phrase_is(two_tracks(), 0, 1, "M:3/4\nL:1/8\nQ:1/4=150\nK:Eb\n\"Eb\"G2 \"^bend\"_F4|]\n");
  assert_int_equal(rl_smf_parts(two_tracks(), part, &error), 1);
  assert_memory_equal(part[0].name.at, "Harp", 4);
  assert_int_equal(part[0].track, 1);
  assert_int_equal(part[0].channel, 1);
}

/* Bar 2 of the file is bar 2 of the form: over its chord, as if it had been played there; in
   another meter it is not. */
static void
a_file_in_the_form_s_meter_is_played_over_its_chords(void **state)
{
  static RlForm form;
  RlChartError  wrong_chart;
  RlSmfPart     part[RL_SMF_PARTS_MAX];
  const RlSlice file =
    FILE_OF(HEAD(0, 1, 1), TRACK(11), 4, 0x90, 67, 80, 1, 67, 0, 0, 0xFF, 0x2F, 0);
  (void)state;
  assert_int_equal(rl_smf_parts(file, part, &error), 1);
  assert_true(rl_chart_read(rl_slice("key: G\n| I7 | IV7 |\n"), &form, &wrong_chart));
  assert_true(rl_smf_phrase(file, part[0], &form, rl_key_named(9, false), &room, &error));
  assert_int_equal(room.notated.bar, 2);
  assert_int_equal(room.notated.phrase.chord[0].chord.root.step, 1); /* D7 in A */
  assert_true(rl_chart_read(rl_slice("meter: 3/4\n| I7 | IV7 |\n"), &form, &wrong_chart));
  assert_true(rl_smf_phrase(file, part[0], &form, rl_key_named(9, false), &room, &error));
  assert_int_equal(room.notated.phrase.meter_beats, 4);
  assert_int_equal(room.notated.phrase.chord[0].chord.root.step, 5); /* A */
}

/* Without a key the caller's holds; without a tempo 120 (RP-001), without a meter 4/4. */
static void
what_a_file_does_not_say_is_the_usual(void **state)
{
  (void)state;
  phrase_is(FILE_OF(HEAD(0, 1, 4), TRACK(17), 0, 0x90, 67, 80, 4, 67, 0, 0, 71, 80, 4, 71, 0, 0,
                    0xFF, 0x2F, 0),
            0, 1, "M:4/4\nL:1/8\nQ:1/4=120\nK:G\n\"G\"G2 B2 z4|]\n");
}

/* 25 frames of 40 parts a second: a thousand parts are a second, at 120 two quarters. */
static void
frames_are_counted_by_the_tempo(void **state)
{
  (void)state;
  phrase_is(FILE_OF(HEAD(0, 1, 0xE728), TRACK(13), 0, 0x90, 67, 80, 0x87, 0x68, 0x80, 67, 0, 0,
                    0xFF, 0x2F, 0),
            0, 1, "M:4/4\nL:1/8\nQ:1/4=120\nK:G\n\"G\"G4 z4|]\n");
}

/* A file without the word that ends a track, or cut off between two events, is read as far as it
 * goes. */
static void
a_track_may_end_without_a_word(void **state)
{
  (void)state;
  phrase_is(FILE_OF(HEAD(0, 1, 4), TRACK(200), 0, 0x90, 67, 80, 4, 67, 0), 0, 1,
            "M:4/4\nL:1/8\nQ:1/4=120\nK:G\n\"G\"G2 z6|]\n");
}

static void
wrong(const RlSlice file, const char *const said)
{
  char      words[256];
  RlText    text = rl_text_in(words, sizeof(words));
  RlSmfPart part[RL_SMF_PARTS_MAX];
  assert_int_equal(rl_smf_parts(file, part, &error), -1);
  rl_smf_error_write(&error, &text);
  assert_string_equal(words, said);
}

static void
what_is_broken_is_named(void **state)
{
  (void)state;
  wrong(rl_slice(""), "byte 0: not a Standard MIDI File; save it as one (.mid)");
  wrong(rl_slice("X:1\nT:Tide Bell\nK:G\n"),
        "byte 0: not a Standard MIDI File; save it as one (.mid)");
  wrong(FILE_OF(HEAD(2, 1, 96), TRACK(4), 0, 0xFF, 0x2F, 0),
        "byte 8: unsupported type; save it as type 0 or 1");
  wrong(FILE_OF(HEAD(0, 1, 0), TRACK(4), 0, 0xFF, 0x2F, 0),
        "byte 12: a quarter note has 0 ticks; export the file again");
  wrong(FILE_OF(HEAD(0, 1, 0xE600), TRACK(4), 0, 0xFF, 0x2F, 0),
        "byte 12: a frame rate other than 24, 25, 29 or 30; export it with ticks per quarter note");
  wrong(FILE_OF(HEAD(0, 1, 96)), "byte 14: no track in it; export the file again");
  wrong(FILE_OF(HEAD(0, 1, 96), TRACK(4), 0, 60, 80, 0),
        "byte 23: a byte that starts no message; the file is damaged");
  wrong(FILE_OF(HEAD(0, 1, 96), TRACK(4), 0, 0x90, 60, 200),
        "byte 25: a message with a byte missing; the file is damaged");
  wrong(FILE_OF(HEAD(0, 1, 96), TRACK(3), 0, 0x90, 60),
        "byte 24: a message that does not end; the file is damaged");
  wrong(FILE_OF(HEAD(0, 1, 96), TRACK(5), 0, 0xFF, 3, 99, 'a'),
        "byte 26: an event longer than its track; the file is damaged");
  wrong(FILE_OF(HEAD(0, 1, 96), TRACK(5), 0, 0xF0, 99, 1, 0xF7),
        "byte 25: a message longer than its track; the file is damaged");
  wrong(FILE_OF(HEAD(0, 1, 96), TRACK(4), 0x81, 0x81, 0x81, 0x81),
        "byte 26: a delta time that does not end; the file is damaged");
}

static void
a_part_without_an_end_ends_with_the_file(void **state)
{
  (void)state;
  phrase_is(FILE_OF(HEAD(0, 1, 4), TRACK(12), 0, 0x90, 67, 80, 4, 0xB0, 7, 100, 0, 0xFF, 0x2F, 0),
            0, 1, "M:4/4\nL:1/8\nQ:1/4=120\nK:G\n\"G\"G2 z6|]\n");
}

static void
what_is_too_long_is_said(void **state)
{
  RlSmfPart     part[RL_SMF_PARTS_MAX];
  const RlSlice file = FILE_OF(HEAD(0, 1, 1), TRACK(15), 0, 0x90, 67, 80, 1, 67, 0, 0x84, 0x00, 67,
                               80, 0, 0xFF, 0x2F, 0);
  (void)state;
  assert_int_equal(rl_smf_parts(file, part, &error), 1);
  assert_false(rl_smf_phrase(file, part[0], NULL, rl_key_named(0, false), &room, &error));
  assert_string_equal(error.reason, "longer than 126 bars; export less of it");
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(a_part_becomes_a_phrase),
    cmocka_unit_test(a_file_in_the_form_s_meter_is_played_over_its_chords),
    cmocka_unit_test(what_a_file_does_not_say_is_the_usual),
    cmocka_unit_test(frames_are_counted_by_the_tempo),
    cmocka_unit_test(a_track_may_end_without_a_word),
    cmocka_unit_test(what_is_broken_is_named),
    cmocka_unit_test(a_part_without_an_end_ends_with_the_file),
    cmocka_unit_test(what_is_too_long_is_said),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
