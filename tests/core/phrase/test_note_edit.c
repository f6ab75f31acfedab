/* SPDX-License-Identifier: ISC */
/* Notes edited by hand: what becomes of a few, note by note; then every edit of every small phrase,
   and long rows of edits by chance. Whatever is done, the phrase stays one. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "core/abc/abc.h"
#include "core/phrase/note_edit.h"
#include "core/phrase/sure.h"

#include <stdio.h>
#include <string.h>

enum { TWELFTH = RL_TICKS / 12 };

static RlPhrase
tune_read(const char *const tune)
{
  RlPhrase   p;
  RlAbcError error;
  assert_true(rl_abc_read(rl_slice(tune), &p, &error));
  return p;
}

/* The line of music of a phrase as it is written. */
static const char *
music(const RlPhrase *const p)
{
  static char text[RL_ABC_MAX];
  RlText      out   = rl_text_in(text, sizeof(text));
  RlSlice     whole = rl_abc_tune(p, &out);
  const char *at    = strstr(whole.at, "\nK:");
  assert_non_null(at);
  at                     = strchr(at + 1, '\n') + 1;
  text[strlen(text) - 1] = '\0';
  return at;
}

/* ---- one by one ---- */

static const char head[] = "X:1\nT:Gull\nM:4/4\nL:1/8\nK:C\n";

static void
edit_is(const char *const was, const int onset, const RlNoteEdit edit, const char *const is,
        const int then)
{
  char     tune[256];
  int      at = onset;
  RlPhrase p;
  snprintf(tune, sizeof(tune), "%s%s\n", head, was);
  p                     = tune_read(tune);
  const char *const why = rl_note_edit(&p, edit, &at);
  assert_true(!why == !!is);
  assert_string_equal(music(&p), is ? is : was);
  assert_int_equal(at, then);
}

static void
a_note_is_split_on_the_beat_or_in_its_parts(void **const state)
{
  (void)state;
  edit_is("\"C\"C8|]", 0, RL_NOTE_SPLIT, "\"C\"C4 C4|]", 0);
  edit_is("\"C\"C3C z4|]", 0, RL_NOTE_SPLIT, "\"C\"C2 CC z4|]", 0); /* on the beat */
  edit_is("\"C\"C2 z6|]", 0, RL_NOTE_SPLIT, "\"C\"CC z6|]", 0);
  edit_is("\"C\"(3CCC z6|]", 0, RL_NOTE_SPLIT, "\"C\"(3:2:4C/C/CC z6|]", 0);
  edit_is("\"C\"(!slide!C2 D2) E4|]", 0, RL_NOTE_SPLIT, "\"C\"!slide!C(C D2) E4|]", 0);
  edit_is("\"C\"\"^fall\"C4 E4|]", 0, RL_NOTE_SPLIT, "\"C\"C2 \"^fall\"C2 E4|]", 0);
  edit_is("\"C\"C/C/ z7|]", 0, RL_NOTE_SPLIT, "\"C\"C/4C/4C/z7|]", 0);
  edit_is("\"C\"C/4C/4C/z7|]", 0, RL_NOTE_SPLIT, NULL, 0);
}

static void
a_note_is_joined_with_the_next(void **const state)
{
  (void)state;
  edit_is("\"C\"C2 D2 E4|]", 1, RL_NOTE_JOIN, "\"C\"C2 D6|]", 1);
  edit_is("\"C\"C2 z2 E4|]", 0, RL_NOTE_JOIN, "\"C\"C8|]", 0); /* the rest goes too */
  edit_is("\"C\"C2 D2 E4|]", 2, RL_NOTE_JOIN, NULL, 2);
  edit_is("\"C\"C2 \"^fall\"D2 E4|]", 0, RL_NOTE_JOIN, "\"C\"\"^fall\"C4 E4|]", 0);
  edit_is("\"C\"\"^fall\"C2 D2 E4|]", 0, RL_NOTE_JOIN, "\"C\"C4 E4|]", 0);
}

static void
a_note_is_marked_and_no_longer(void **const state)
{
  (void)state;
  edit_is("\"C\"C2 [DF]2 E4|]", 1, RL_NOTE_SCOOP, "\"C\"C2 !slide![DF]2 E4|]", 1);
  edit_is("\"C\"C2 [DF]2 E4|]", 1, RL_NOTE_FALL, "\"C\"C2 \"^fall\"[DF]2 E4|]", 1);
  edit_is("\"C\"C2 \"^fall\"[DF]2 E4|]", 1, RL_NOTE_FALL, "\"C\"C2 [DF]2 E4|]", 1);
}

static void
a_note_is_inserted_where_there_is_room(void **const state)
{
  (void)state;
  edit_is("\"C\"C2 z2 E4|]", 0, RL_NOTE_INSERT, "\"C\"C2 Cz E4|]", 1);
  edit_is("\"C\"C2 z2 E4|]", 1, RL_NOTE_INSERT, "\"C\"C2 zE E4|]", 1);
  edit_is("\"C\"C4 E4|]", 1, RL_NOTE_INSERT, "\"C\"C4 E2 E2|]", 2);
  edit_is("\"C\"C4 [EG]2 z2|]", 1, RL_NOTE_INSERT, "\"C\"C4 [EG]2 Ez|]", 2);
}

static void
a_note_is_made_longer_and_shorter(void **const state)
{
  (void)state;
  edit_is("\"C\"C2 z2 E4|]", 0, RL_NOTE_LONGER, "\"C\"C5/z3/ E4|]", 0);
  edit_is("\"C\"C2 z2 E4|]", 0, RL_NOTE_SHORTER, "\"C\"C3/z5/ E4|]", 0);
  edit_is("\"C\"C4 E4|]", 0, RL_NOTE_LONGER, NULL, 0);
  edit_is("\"C\"C4 E4|]", 1, RL_NOTE_LONGER, NULL, 1); /* the bar is full */
}

static void
the_only_note_stays(void **const state)
{
  (void)state;
  edit_is("\"C\"C8|]", 0, RL_NOTE_REMOVE, NULL, 0);
  edit_is("\"C\"C4 E4|]", 1, RL_NOTE_REMOVE, "\"C\"C4 z4|]", 0);
}

static void
what_is_not_sure_is_accepted_one_by_one(void **const state)
{
  RlPhrase p = tune_read("X:1\nT:Gull\nN:sure .98 .34 .50 .20\nM:4/4\nL:1/8\nK:C\nC2 D2 E2 F2|]\n");
  int      at = 1;
  (void)state;
  assert_false(rl_phrase_onset_perhaps(&p, 0));
  assert_true(rl_phrase_onset_perhaps(&p, 1));
  assert_false(rl_phrase_onset_perhaps(&p, 2));
  assert_int_equal(rl_phrase_onset_unsure(&p, 3), 1);
  assert_null(rl_note_edit(&p, RL_NOTE_ACCEPT, &at));
  assert_int_equal(at, 3);
  assert_null(rl_note_edit(&p, RL_NOTE_ACCEPT, &at));
  assert_int_equal(at, 3);
  assert_non_null(rl_note_edit(&p, RL_NOTE_ACCEPT, &at));
  assert_int_equal(rl_phrase_onset_unsure(&p, 0), -1);
  assert_string_equal(p.fields, "N:sure .98 1 .50 1\n");
  at = 2;
  assert_null(rl_note_edit(&p, RL_NOTE_SPLIT, &at));
  assert_string_equal(p.fields, "N:sure .98 1 1 1 1\n");
  assert_null(rl_note_edit(&p, RL_NOTE_JOIN, &at));
  assert_string_equal(p.fields, "N:sure .98 1 1 1\n");
  at = 0;
  assert_null(rl_note_edit(&p, RL_NOTE_INSERT, &at));
  assert_string_equal(p.fields, "N:sure 1 1 1 1 1\n");
}

/* ---- whatever is done ---- */

static void
notes_are_valid(const RlPhrase *const p)
{
  assert_in_range(p->notes, 1, RL_PHRASE_NOTES_MAX);
  for (int i = 0; i < p->notes; ++i) {
    const RlPhraseNote *const n     = &p->note[i];
    const int                 pitch = rl_phrase_pitch(p, n);
    assert_true(n->at >= -p->pickup && n->lasts >= 1 && n->at + n->lasts <= p->lasts);
    assert_in_range(pitch, 0, 127);
    assert_true(n->chord < p->chords);
    assert_true(!n->chord || p->chord[n->chord].at <= n->at);
    assert_true(n->chord + 1 == p->chords || p->chord[n->chord + 1].at > n->at);
    if (i && p->note[i - 1].at == n->at) {
      assert_int_equal(p->note[i - 1].lasts, n->lasts);
      assert_true(rl_phrase_pitch(p, &p->note[i - 1]) < pitch);
    } else if (i) {
      assert_true(p->note[i - 1].at + p->note[i - 1].lasts <= n->at);
    }
  }
}

/* Still the phrase that it was, but for notes; and its text reads as the same one. */
static void
phrase_is_valid(const RlPhrase *const p, const RlPhrase *const was)
{
  static char     text[RL_ABC_MAX];
  static RlPhrase back;
  uint8_t         sure[RL_PHRASE_NOTES_MAX];
  RlAbcError      error;
  RlText          out = rl_text_in(text, sizeof(text));
  notes_are_valid(p);
  assert_int_equal(p->pickup, was->pickup);
  assert_int_equal(p->lasts, was->lasts);
  assert_int_equal(p->chords, was->chords);
  assert_int_equal(rl_phrase_sure_read(p, sure), rl_phrase_sure_read(was, sure));
  assert_true(rl_abc_read(rl_abc_tune(p, &out), &back, &error));
  assert_int_equal(back.notes, p->notes);
  assert_int_equal(back.lasts, p->lasts);
  assert_int_equal(back.pickup, p->pickup);
  assert_memory_equal(back.note, p->note, (size_t)p->notes * sizeof(p->note[0]));
  assert_string_equal(back.fields, p->fields);
}

static void
edit_and_check(RlPhrase *const p, const RlNoteEdit edit, int *const onset)
{
  static RlPhrase before;
  before                = *p;
  const int         was = *onset;
  const char *const why = rl_note_edit(p, edit, onset);
  assert_in_range(*onset, 0, rl_phrase_onsets(p) - 1);
  if (why) {
    assert_memory_equal(p, &before, sizeof(*p));
    assert_int_equal(*onset, was);
    assert_true(strlen(why) > 8);
  } else {
    assert_memory_not_equal(p, &before, sizeof(*p));
    phrase_is_valid(p, &before);
  }
}

/* Up to three notes on the twelfths of two beats, as long as there is room; every edit of each. */
static void
every_edit_of_every_small_phrase_leaves_a_phrase(void **const state)
{
  enum { PLACES = 24 };
  static const char *const heads[] = {"M:2/4", "M:6/8"};
  static RlPhrase          made, p;
  int                      done = 0;
  (void)state;
  for (int h = 0; h < 2; ++h) {
    char tune[64];
    snprintf(tune, sizeof(tune), "X:1\nT:Gull\n%s\nL:1/8\nK:C\n\"C7\"C4|]\n", heads[h]);
    const RlPhrase like = tune_read(tune);
    for (int from = 0; from < PLACES; ++from) {
      for (int mid = from + 1; mid < PLACES; ++mid) {
        for (int to = mid + 1; to <= PLACES; ++to) {
          made            = like;
          made.lasts      = PLACES * TWELFTH;
          made.notes      = 2;
          made.note[1]    = made.note[0];
          made.note[0].at = from * TWELFTH, made.note[0].lasts = (mid - from) * TWELFTH;
          made.note[1].at = mid * TWELFTH, made.note[1].lasts = (to - mid) * TWELFTH;
          for (int e = 0; e < 2 * RL_NOTE_EDITS; ++e) {
            int onset = e % 2;
            p         = made;
            edit_and_check(&p, (RlNoteEdit)(e / 2), &onset);
            ++done;
          }
        }
      }
    }
  }
  assert_true(done > 90000);
}

static uint32_t seed = 7;

static int
chance(const int below)
{
  seed = seed * 1664525U + 1013904223U;
  return (int)((seed >> 8) % (uint32_t)below);
}

static void
a_hundred_thousand_edits_by_chance_leave_a_phrase(void **const state)
{
  static const char *const tunes[] = {
    "X:1\nT:Gull\nN:sure .98 .31 .50 .77 1 .20\nM:4/4\nL:1/8\nK:G\n"
    "\"G7\"!slide!G2 (_BB) \"C7\"[EGc]2 c2|\"G7\"d8|]\n",
    "X:1\nT:Tern\nM:12/8\nL:1/8\nK:G\nD2|\"G7\"G2A B3 \"^bend\"_B3 G3|\"D7\"(3ABc d6 z4|]\n",
    "X:1\nT:Skua\nM:3/4\nL:1/8\nK:Am\n\"Am\"(5ABcde (7ABcdefg a//b//c3/|]\n",
    "X:1\nT:Auk\nM:none\nL:1/4\nK:none\n\"C\"c d//e3/|]\n"};
  static RlPhrase p;
  (void)state;
  for (int i = 0, onset = 0; i < 100000; ++i) {
    if (i % 250 == 0) {
      p = tune_read(tunes[i / 250 % 4]);
    }
    onset = chance(rl_phrase_onsets(&p));
    edit_and_check(&p, (RlNoteEdit)chance(RL_NOTE_EDITS), &onset);
  }
}

static void
a_full_phrase_takes_no_more(void **const state)
{
  static RlPhrase p;
  int             onset = 0;
  (void)state;
  p       = tune_read("X:1\nT:Gull\nM:4/4\nL:1/8\nK:C\n\"C\"C8|]\n");
  p.lasts = RL_PHRASE_NOTES_MAX * RL_TICKS;
  p.notes = RL_PHRASE_NOTES_MAX;
  for (int i = 0; i < RL_PHRASE_NOTES_MAX; ++i) {
    p.note[i]       = p.note[0];
    p.note[i].at    = i * RL_TICKS;
    p.note[i].lasts = RL_TICKS / 2;
  }
  edit_and_check(&p, RL_NOTE_SPLIT, &onset);
  edit_and_check(&p, RL_NOTE_INSERT, &onset);
  assert_int_equal(p.notes, RL_PHRASE_NOTES_MAX);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(a_note_is_split_on_the_beat_or_in_its_parts),
    cmocka_unit_test(a_note_is_joined_with_the_next),
    cmocka_unit_test(a_note_is_marked_and_no_longer),
    cmocka_unit_test(a_note_is_inserted_where_there_is_room),
    cmocka_unit_test(a_note_is_made_longer_and_shorter),
    cmocka_unit_test(the_only_note_stays),
    cmocka_unit_test(what_is_not_sure_is_accepted_one_by_one),
    cmocka_unit_test(every_edit_of_every_small_phrase_leaves_a_phrase),
    cmocka_unit_test(a_hundred_thousand_edits_by_chance_leave_a_phrase),
    cmocka_unit_test(a_full_phrase_takes_no_more),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
