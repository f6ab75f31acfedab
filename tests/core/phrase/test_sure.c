/* SPDX-License-Identifier: ISC */
/* How likely the notes of a phrase are right: read, written, and kept true by edits. Source:
   core/capture/TAKES.md, "From the track". */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "core/phrase/edit.h"
#include "core/phrase/sure.h"

#include <stdio.h>
#include <string.h>

/* Quavers from middle C up. */
static RlPhrase
run(const int notes, const char *const fields)
{
  RlPhrase p = {.meter_beats = 4, .meter_unit = 4, .chords = 1};
  assert_int_equal(rl_chord_read(rl_slice("C7"), &p.chord[0].chord), RL_CHORD_OK);
  for (int i = 0; i < notes; ++i) {
    p.note[i] = (RlPhraseNote){.at = i * RL_TICKS / 2, .lasts = RL_TICKS / 2, .above = 2};
  }
  p.notes = (uint16_t)notes;
  snprintf(p.fields, sizeof(p.fields), "%s", fields);
  return p;
}

static void
numbers_of_every_note_are_read(void **const state)
{
  RlPhrase p = run(3, "C:A deckhand\nN:sure .98 .05 1\nR:swung\n");
  uint8_t  sure[RL_PHRASE_NOTES_MAX];
  (void)state;
  assert_true(rl_phrase_sure_read(&p, sure));
  assert_int_equal(sure[0], 98);
  assert_int_equal(sure[1], 5);
  assert_int_equal(sure[2], RL_SURE_WHOLE);
}

static void
what_fits_no_tune_says_nothing(void **const state)
{
  static const char *const lines[] = {"",
                                      "N:sure\n",
                                      "N:sure .98 .05\n",
                                      "N:sure .98 .05 1 1\n",
                                      "N:sure .9 .05 1\n",
                                      "N:sure .98 .05 x\n",
                                      "N:sure 98 .05 1\n",
                                      "N:surely .98 .05 1\n",
                                      "N:sure .98 .05 2\n",
                                      "N:sure .98 .05 -1\n",
                                      "N:sure .98 .05 .-1\n"};
  uint8_t                  sure[RL_PHRASE_NOTES_MAX];
  (void)state;
  for (size_t i = 0; i < sizeof(lines) / sizeof(lines[0]); ++i) {
    const RlPhrase p = run(3, lines[i]);
    assert_false(rl_phrase_sure_read(&p, sure));
  }
}

static void
written_it_takes_the_place_of_what_was_said(void **const state)
{
  static const uint8_t sure[] = {0, 99, 100};
  RlPhrase             p      = run(3, "N:sure .98 .05 1\nR:swung\n");
  (void)state;
  rl_phrase_sure_write(&p, sure);
  assert_string_equal(p.fields, "R:swung\nN:sure .00 .99 1\n");
  rl_phrase_sure_write(&p, NULL);
  assert_string_equal(p.fields, "R:swung\n");
  p = run(3, "N:sure .98 .05 1\nR:swung\nN:sure 1 1 1\n"); /* twice: the first counts */
  rl_phrase_sure_write(&p, sure);
  assert_string_equal(p.fields, "R:swung\nN:sure .00 .99 1\n");
}

static void
without_room_for_all_nothing_is_said(void **const state)
{
  uint8_t sure[RL_PHRASE_NOTES_MAX]         = {0};
  char    remark[RL_PHRASE_FIELDS_SIZE / 2] = "N:";
  memset(remark + 2, 'x', sizeof(remark) - 4);
  memcpy(remark + sizeof(remark) - 2, "\n", 2);
  RlPhrase p = run(RL_PHRASE_NOTES_MAX, remark);
  (void)state;
  rl_phrase_sure_write(&p, sure);
  assert_string_equal(p.fields, remark);
  p = run(RL_PHRASE_NOTES_MAX, "R:swung\n");
  rl_phrase_sure_write(&p, sure);
  assert_true(rl_phrase_sure_read(&p, sure));
}

static void
edits_keep_it_true(void **const state)
{
  RlPhrase p = run(4, "N:sure .98 .91 .34 .50\n");
  (void)state;
  assert_true(rl_phrase_onset_remove(&p, 1));
  assert_string_equal(p.fields, "N:sure .98 .34 .50\n");
  assert_true(rl_phrase_onset_step(&p, 1, 1));
  assert_string_equal(p.fields, "N:sure .98 1 .50\n");
  assert_true(rl_phrase_onset_shift(&p, 2, 1));
  assert_string_equal(p.fields, "N:sure .98 1 1\n");
  rl_phrase_onset_mark(&p, 0, RL_ARTICULATION_SCOOP);
  assert_string_equal(p.fields, "N:sure 1 1 1\n");
  RlPhrase wrong = run(4, "N:sure .98 .91 .34\n"); /* one note fewer would make it look right */
  assert_true(rl_phrase_onset_remove(&wrong, 1));
  assert_string_equal(wrong.fields, "");
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(numbers_of_every_note_are_read),
    cmocka_unit_test(what_fits_no_tune_says_nothing),
    cmocka_unit_test(written_it_takes_the_place_of_what_was_said),
    cmocka_unit_test(without_room_for_all_nothing_is_said),
    cmocka_unit_test(edits_keep_it_true),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
