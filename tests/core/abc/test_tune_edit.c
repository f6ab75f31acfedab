/* SPDX-License-Identifier: ISC */
/* One thing of a tune changed, every other byte as it was. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "core/abc/tune_edit.h"
#include "core/phrase/note_edit.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static char               result[RL_ABC_MAX];
static RlAbcEditWorkspace room;
static RlPhrase           phrase;

static const char *
field_set(const char *const tune, const char name, const char *const value)
{
  RlText out = rl_text_in(result, sizeof(result));
  rl_abc_field_set(rl_slice(tune), name, rl_slice(value), &out);
  return result;
}

static const char *
tags_set(const char *const tune, const RlAbcTags tags)
{
  RlText out = rl_text_in(result, sizeof(result));
  rl_abc_tags_set(rl_slice(tune), tags, &out);
  return result;
}

static void
a_field_changes_alone(void **state)
{
  static const char tune[] = "X:7\nT:Heron  % as sung\nT:The Long Leg\n%%staves 1\nN:Slow.\n"
                             "K:G % plain\nN:inside\nG8|\n";
  (void)state;
  assert_string_equal(field_set(tune, 'T', "Grey Heron"),
                      "X:7\nT:Grey Heron  % as sung\nT:The Long Leg\n%%staves 1\nN:Slow.\n"
                      "K:G % plain\nN:inside\nG8|\n");
  assert_string_equal(field_set(tune, 'N', ""),
                      "X:7\nT:Heron  % as sung\nT:The Long Leg\n%%staves 1\n"
                      "K:G % plain\nN:inside\nG8|\n");
  assert_string_equal(field_set(tune, 'R', "waltz"),
                      "X:7\nT:Heron  % as sung\nT:The Long Leg\nR:waltz\n%%staves 1\nN:Slow.\n"
                      "K:G % plain\nN:inside\nG8|\n");
  assert_string_equal(field_set(tune, 'R', ""), tune);
}

/* Lines end as those of the tune do; a field without a value gets one. */
static void
lines_end_as_they_did(void **state)
{
  (void)state;
  assert_string_equal(field_set("X:1\r\nT:Heron\r\nK:G\r\nG8|\r\n", 'N', "Low."),
                      "X:1\r\nT:Heron\r\nN:Low.\r\nK:G\r\nG8|\r\n");
  assert_string_equal(field_set("X:1\nT:\nK:G\nG8|\n", 'T', "Heron"), "X:1\nT:Heron\nK:G\nG8|\n");
  assert_string_equal(field_set("X:1\nK:G\nG8|", 'N', "Low."), "X:1\nN:Low.\nK:G\nG8|");
}

static void
tags_are_words_of_their_field(void **state)
{
  static const char tune[] = "X:1\nT:Heron\nG:birds, over I,hard , grey\nK:G\nG8|\n";
  const RlAbcTags   tags   = rl_abc_tags(rl_slice(tune));
  (void)state;
  assert_int_equal(tags.over, RL_ABC_OVER_I);
  assert_int_equal(tags.hard, 3);
  assert_string_equal(tags_set(tune, (RlAbcTags){RL_ABC_OVER_V, 0}),
                      "X:1\nT:Heron\nG:birds, grey, over V\nK:G\nG8|\n");
  assert_string_equal(tags_set(tune, (RlAbcTags){0}), "X:1\nT:Heron\nG:birds, grey\nK:G\nG8|\n");
  assert_string_equal(tags_set("X:1\nT:Heron\nG:easy\nK:G\nG8|\n", (RlAbcTags){0}),
                      "X:1\nT:Heron\nK:G\nG8|\n");
  assert_string_equal(tags_set("X:1\nT:Heron\nK:G\nG8|\n", (RlAbcTags){RL_ABC_OVER_IV, 1}),
                      "X:1\nT:Heron\nG:over IV, easy\nK:G\nG8|\n");
}

static const char *
note_removed(const char *const tune, const int onset)
{
  RlAbcError error;
  RlText     out = rl_text_in(result, sizeof(result));
  assert_true(rl_abc_read(rl_slice(tune), &phrase, &error));
  assert_true(rl_phrase_onset_remove(&phrase, onset));
  return rl_abc_notes_set(rl_slice(tune), &phrase, &room, &out) ? result : NULL;
}

/* What a phrase has no room for stays above the music; how its meter, tempo and key are written
   too. */
static void
notes_change_and_the_head_stays(void **state)
{
  (void)state;
  assert_string_equal(
    note_removed("X:4\nT:Heron % grey\n%%scale 0.7\nI:linebreak $\nM:C\nL:1/4\nZ:after the cook\n"
                 "Q:\"Wading\" 1/4=80\nK:G major\nG A B c|\n",
                 1),
    "X:4\nT:Heron % grey\n%%scale 0.7\nI:linebreak $\nM:C\nL:1/8\nZ:after the cook\n"
    "Q:\"Wading\" 1/4=80\nK:G major\n\"G\"G2 z2 B2 c2|]\n");
  /* a bare tempo counts notes of L, so both are written anew */
  assert_string_equal(
    note_removed("X:1\r\nT:Heron\r\nM:4/4\r\nQ:90\r\nL:1/4\r\nK:G\r\nGABc|\r\n", 3),
    "X:1\r\nT:Heron\r\nM:4/4\r\nQ:1/4=90\r\nL:1/8\r\nK:G\r\n\"G\"G2 A2 B2 z2|]\r\n");
  /* without L: one is written */
  assert_string_equal(note_removed("X:1\nT:Heron\nM:4/4\nK:G\nG4A4|\n", 0),
                      "X:1\nT:Heron\nM:4/4\nL:1/8\nK:G\n\"G\"z4 A4|]\n");
}

/* How sure the notes are is no remark, and goes with them. */
static void
how_sure_notes_are_follows_them(void **state)
{
  static const char tune[] =
    "X:1\r\nT:Heron\r\nN:sure .98 .34 .50 1\r\nR:slow\r\nM:4/4\r\nL:1/8\r\n"
    "K:G\r\nG2 A2 B2 c2|\r\n";
  static const char without[] = "X:1\nT:Heron\nN:sure .9\nL:1/8\nK:G\nG4 A4|\n";
  (void)state;
  assert_string_equal(note_removed(tune, 1),
                      "X:1\r\nT:Heron\r\nN:sure .98 .50 1\r\nR:slow\r\nM:4/4\r\nL:1/8\r\n"
                      "K:G\r\n\"G\"G2 z2 B2 c2|]\r\n");
  assert_string_equal(note_removed(without, 1), "X:1\nT:Heron\nL:1/8\nK:G\n\"G\"G4z4|]\n");
  assert_int_equal(rl_abc_field_value(rl_slice(tune), 'N').length, 0);
  assert_string_equal(field_set("X:1\nT:Heron\nN:sure .98\nN:Low.\nK:G\nG8|\n", 'N', "High."),
                      "X:1\nT:Heron\nN:sure .98\nN:High.\nK:G\nG8|\n");
  assert_string_equal(field_set("X:1\nT:Heron\nN:sure footed\nK:G\nG8|\n", 'N', "High."),
                      "X:1\nT:Heron\nN:High.\nK:G\nG8|\n");
}

static void
music_that_holds_more_is_left_alone(void **state)
{
  (void)state;
  assert_null(note_removed("X:1\nT:Heron\nL:1/8\nK:G\nG4 !trill!A4|\n", 0));
  assert_null(note_removed("X:1\nT:Heron\nL:1/8\nK:G\nG4 A4| % the end\n", 0));
  assert_null(note_removed("X:1\nT:Heron\nL:1/8\nK:G\nG4 A4|\nw: fly, bird\n", 0));
  assert_null(note_removed("X:1\nT:Heron\nL:1/8\nK:G\nG4 A4|[K:D]d4 f4|\n", 0));
}

/* ---- every phrase that comes along ---- */

static uint64_t chance_state = 9;

static int
chance(const int below)
{
  chance_state = chance_state * 6364136223846793005U + 1442695040888963407U;
  return (int)((chance_state >> 33U) % (uint64_t)below);
}

/* Reads the music of a tune alone, with what it counts as `edited`. */
static void
holds(const char *const text, const RlPhrase *const edited)
{
  static RlPhrase read;
  RlAbcError      error;
  assert_true(rl_abc_read(rl_slice(text), &read, &error));
  assert_int_equal(read.notes, edited->notes);
  assert_memory_equal(read.note, edited->note, (size_t)read.notes * sizeof(read.note[0]));
  assert_true(read.tempo == edited->tempo);
  assert_string_equal(read.fields, edited->fields);
}

/* Any edit of a note, then of a title, of the remark, of the tags: what it means is what was done,
   and the lines of the head are those that were there. */
static void
random_edits_mean_what_was_done(void **state)
{
  static char tune[RL_ABC_MAX], path[8192], line[256];
  (void)state;
  const char *const top = getenv("RL_TEST_DATA");
  snprintf(path, sizeof(path), "%s/tests/core/arrange/hand_tab.txt", top ? top : ".");
  FILE *const list = fopen(path, "r");
  int         done = 0, tunes = 0;
  assert_non_null(list);
  while (fgets(line, sizeof(line), list)) {
    char *const colon = strchr(line, ':');
    if (line[0] == '#' || !colon) {
      continue;
    }
    *colon = '\0';
    snprintf(path, sizeof(path), "%s/presets/phrases/%s", top ? top : ".", line);
    FILE *const file = fopen(path, "r");
    assert_non_null(file);
    tune[fread(tune, 1, sizeof(tune) - 1, file)] = '\0';
    fclose(file);
    memmove(tune, tune + 9, strlen(tune + 9) + 1); /* without %abc-2.1 */
    ++tunes;
    for (int i = 0; i < 100; ++i) {
      RlAbcError error;
      assert_true(rl_abc_read(rl_slice(tune), &phrase, &error));
      int        onset  = chance(rl_phrase_onsets(&phrase));
      const bool edited = !rl_note_edit(&phrase, (RlNoteEdit)chance(RL_NOTE_EDITS), &onset);
      RlText     out    = rl_text_in(result, sizeof(result));
      if (edited) {
        assert_true(rl_abc_notes_set(rl_slice(tune), &phrase, &room, &out));
        holds(result, &phrase);
        memcpy(tune, result, strlen(result) + 1);
        ++done;
      }
    }
  }
  fclose(list);
  assert_int_equal(tunes, 20);
  assert_true(done > 500);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(a_field_changes_alone),
    cmocka_unit_test(lines_end_as_they_did),
    cmocka_unit_test(tags_are_words_of_their_field),
    cmocka_unit_test(notes_change_and_the_head_stays),
    cmocka_unit_test(how_sure_notes_are_follows_them),
    cmocka_unit_test(music_that_holds_more_is_left_alone),
    cmocka_unit_test(random_edits_mean_what_was_done),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
