/* SPDX-License-Identifier: ISC */
/* The ABC reader: every construct that core/abc/ABC.md names, against the standard (ABC 2.1,
   sections given by number where a rule is its own), and one broken tune for each way of being
   broken. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "core/abc/abc.h"

#include <string.h>

static RlPhrase   phrase;
static RlAbcError the_error;

static const RlPhrase *
phrase_of(const char *const text)
{
  if (!rl_abc_read(rl_slice(text), &phrase, &the_error)) {
    char   buffer[RL_ABC_REASON_SIZE + 64];
    RlText shown = rl_text_in(buffer, sizeof(buffer));
    rl_abc_error_write(&the_error, &shown);
    fail_msg("should read, but: %s: %s", buffer, text);
  }
  return &phrase;
}

/* In twelfths of a quarter note; what falls between them shows as `?`. */
static void
time_show(RlText *const out, const int32_t ticks)
{
  rl_text_add_int(out, ticks / (RL_TICKS / 12));
  rl_text_add(out, ticks % (RL_TICKS / 12) ? "?" : "");
}

/* `67@0:12~ …`: pitch, onset, length; s scooped, b bent, ~ slurred on. */
static const char *
shown(const RlPhrase *const p)
{
  static char buffer[4096];
  RlText      out = rl_text_in(buffer, sizeof(buffer));
  for (int i = 0; i < p->notes; ++i) {
    rl_text_add(&out, i ? " " : "");
    rl_text_add_int(&out, rl_phrase_pitch(p, &p->note[i]));
    rl_text_add(&out, "@");
    time_show(&out, p->note[i].at);
    rl_text_add(&out, ":");
    time_show(&out, p->note[i].lasts);
    rl_text_add(&out, p->note[i].articulation & RL_ARTICULATION_SCOOP ? "s" : "");
    rl_text_add(&out, p->note[i].articulation & RL_ARTICULATION_BEND ? "b" : "");
    rl_text_add(&out, p->note[i].articulation & RL_ARTICULATION_SLUR ? "~" : "");
    rl_text_add(&out, p->note[i].articulation & RL_ARTICULATION_FALL ? "f" : "");
  }
  return buffer;
}

/* `G7@0 C7@48`. */
static const char *
chords_shown(const RlPhrase *const p)
{
  static char buffer[1024];
  RlText      out = rl_text_in(buffer, sizeof(buffer));
  for (int i = 0; i < p->chords; ++i) {
    const RlHarmony harmony = rl_harmony_of(p->chord[i].chord, p->key);
    rl_text_add(&out, i ? " " : "");
    rl_harmony_name(&harmony, &out);
    rl_text_add(&out, "@");
    time_show(&out, p->chord[i].at);
  }
  return buffer;
}

static const char *
tune(const char *const header, const char *const music)
{
  static char buffer[4096];
  RlText      text = rl_text_in(buffer, sizeof(buffer));
  rl_text_add(&text, "X:1\n");
  rl_text_add(&text, header);
  rl_text_add(&text, "\n");
  rl_text_add(&text, music);
  return buffer;
}

/* Music in C without a meter, in quarters, reads as these notes. */
static void
free_is(const char *const music, const char *const expected)
{
  assert_string_equal(shown(phrase_of(tune("L:1/4\nK:C", music))), expected);
}

static void
with_is(const char *const header, const char *const music, const char *const expected)
{
  assert_string_equal(shown(phrase_of(tune(header, music))), expected);
}

/* ---- notes ---- */

static void
letters_and_octave_marks_are_pitches(void **state)
{
  (void)state;
  free_is("C D E F G A B", "60@0:12 62@12:12 64@24:12 65@36:12 67@48:12 69@60:12 71@72:12");
  free_is("C, c c' C,, c'' C', c,",
          "48@0:12 72@12:12 84@24:12 36@36:12 96@48:12 60@60:12 60@72:12");
}

static void
accidentals_hold_to_the_bar_line_in_every_octave(void **state)
{
  (void)state; /* 4.2; 11.3: %%propagate-accidentals is `pitch` if nothing is said */
  free_is("^C C c | C", "61@0:12 61@12:12 73@24:12 60@36:12");
  free_is("_B =B B ^^F __E", "70@0:12 71@12:12 71@24:12 67@36:12 62@48:12");
}

static void
the_key_alters_what_has_no_sign(void **state)
{
  (void)state;
  with_is("L:1/4\nK:D", "F C =F F|F", "66@0:12 61@12:12 65@24:12 65@36:12 66@48:12");
  with_is("L:1/4\nK:Eb", "B E A D", "70@0:12 63@12:12 68@24:12 62@36:12");
}

static void
lengths_multiply_the_unit(void **state)
{
  (void)state;
  free_is("C3 C/ C// C/4 C3/2 C3/ C12",
          "60@0:36 60@36:6 60@42:3 60@45:3 60@48:18 60@66:18 60@84:144");
  with_is("M:2/4\nK:C", "CC", "60@0:3 60@3:3"); /* below 3/4: a sixteenth, 3.1.7 */
  with_is("M:3/4\nK:C", "CC", "60@0:6 60@6:6");
  with_is("K:C", "CC", "60@0:6 60@6:6"); /* no meter: an eighth */
}

static void
rests_take_time(void **state)
{
  (void)state;
  free_is("z C x2 D z/ E", "60@12:12 62@48:12 64@66:12");
  with_is("M:4/4\nL:1/4\nK:C", "Z | C4 | Z2 | D2", "60@48:48 62@192:24");
}

static void
a_tied_note_is_one_note(void **state)
{
  (void)state;
  free_is("C-C D-|D2- D", "60@0:24 62@24:48");
  free_is("[CE]-[EC] C", "60@0:24 64@0:24 60@24:12");
}

static void
a_tie_takes_the_accidental_over_the_bar_line_and_no_further(void **state)
{
  (void)state;
  free_is("^C-|C C", "61@0:24 60@24:12");
  free_is("[C^c]-|[Cc] c", "60@0:24 73@0:24 72@24:12");
}

static void
a_group_puts_p_notes_in_the_time_of_q(void **state)
{
  (void)state;
  free_is("(3CDE", "60@0:8 62@8:8 64@16:8");
  free_is("(3:2:2C2D", "60@0:16 62@16:8");
  free_is("(3::2C2D", "60@0:16 62@16:8");
  free_is("(3:4C3D3E3", "60@0:48 62@48:48 64@96:48");
  free_is("(2CD (4CDEF (6CDECDE",
          "60@0:18 62@18:18 60@36:9 62@45:9 64@54:9 65@63:9 60@72:4 62@76:4 "
          "64@80:4 60@84:4 62@88:4 64@92:4");
  with_is("M:6/8\nL:1/8\nK:C", "(5:3:5C2D2E2F2G2",
          "60@0:7? 62@7?:7? 64@14?:7? 65@21?:7? 67@28?:7?");
}

/* 4.13: (5, (7 and (9 take the time of three in compound meters, of two in others. */
static void
groups_of_five_seven_and_nine_go_by_the_meter(void **state)
{
  (void)state;
  static const struct {
    const char *meter;
    int         time;
  } cases[] = {{"M:6/8", 3}, {"M:9/8", 3}, {"M:12/8", 3}, {"M:4/4", 2},
               {"M:6/4", 2}, {"M:3/4", 2}, {"M:none", 2}};
  for (size_t i = 0; i < sizeof(cases) / sizeof(cases[0]); ++i) {
    char   header[64];
    RlText text = rl_text_in(header, sizeof(header));
    rl_text_add(&text, cases[i].meter);
    rl_text_add(&text, "\nL:1/8\nK:C");
    phrase_of(tune(header, "(5CDEFG"));
    assert_int_equal(phrase.lasts, RL_TICKS / 2 * cases[i].time);
    phrase_of(tune(header, "(7CDEFGAB"));
    assert_int_equal(phrase.lasts, RL_TICKS / 2 * cases[i].time);
    phrase_of(tune(header, "(9C/D/E/F/G/A/B/c/d/"));
    assert_int_equal(phrase.lasts, RL_TICKS / 4 * cases[i].time);
  }
}

static void
broken_rhythm_lengthens_one_note_and_shortens_the_other(void **state)
{
  (void)state;
  free_is("C>D E<F", "60@0:18 62@18:6 64@24:6 65@30:18");
  free_is("C>>D E<<F", "60@0:21 62@21:3 64@24:3 65@27:21");
  free_is("C4>>>D4", "60@0:90 62@90:6");
  free_is("(3C>DE [CE]>z C > D", "60@0:12 62@12:4 64@16:8 60@24:18 64@24:18 60@48:18 62@66:6");
  free_is("C-C>D", "60@0:30 62@30:6");
}

static void
notes_together_share_their_length(void **state)
{
  (void)state;
  free_is("[GCE]2 [C2E2] [C/E/]4", "60@0:24 64@0:24 67@0:24 60@24:24 64@24:24 60@48:24 64@48:24");
}

static void
slurs_join_all_but_the_last(void **state)
{
  (void)state;
  free_is("(CDE)F", "60@0:12~ 62@12:12~ 64@24:12 65@36:12");
  free_is("(CD)(E|F)", "60@0:12~ 62@12:12 64@24:12~ 65@36:12");
  free_is("(C-C D-|D) E", "60@0:24~ 62@24:24 64@48:12");
  free_is("C-(C D)", "60@0:24~ 62@24:12");
  free_is("(CD)-D", "60@0:12~ 62@12:24");
  free_is("(CD\n)E", "60@0:12~ 62@12:12 64@24:12");
  free_is("((3CDE) (3(FG)A", "60@0:8~ 62@8:8~ 64@16:8 65@24:8~ 67@32:8 69@40:8");
}

static void
slides_and_bends_are_kept(void **state)
{
  (void)state;
  free_is("!slide!C \"^bend\"D !slide!\"^bend\"E (!slide![CE] D)",
          "60@0:12s 62@12:12b 64@24:12sb 60@36:12s~ 64@36:12s~ 62@48:12");
}

/* Two decorations that others use are read, the word that anybody can print is written. */
static void
falls_are_kept(void **state)
{
  (void)state;
  free_is("\"^fall\"C !fall!D +fall+E !slide!\"^bend\"\"^fall\"[DF]2",
          "60@0:12f 62@12:12f 64@24:12f 62@36:24sbf 65@36:24sbf");
}

/* ---- bars ---- */

static void
a_short_first_bar_before_another_is_a_pickup(void **state)
{
  (void)state;
  with_is("M:4/4\nL:1/4\nK:C", "C|D4|E2", "60@-12:12 62@0:48 64@48:24");
  assert_int_equal(phrase.pickup, RL_TICKS);
  assert_int_equal(phrase.lasts, 6 * RL_TICKS);
  with_is("M:4/4\nL:1/4\nK:C", "|C2 z||", "60@0:24");
  assert_int_equal(phrase.pickup, 0);
  assert_int_equal(phrase.lasts, 3 * RL_TICKS);
}

static void
bar_lines_of_four_kinds_and_none(void **state)
{
  (void)state;
  with_is("M:C\nL:1/2\nK:C", "[|CC|CC||CC[|CC|]",
          "60@0:24 60@24:24 60@48:24 60@72:24 60@96:24 "
          "60@120:24 60@144:24 60@168:24");
  with_is("M:C|\nL:1/2\nK:C", "CC | | CC", "60@0:24 60@24:24 60@48:24 60@72:24");
  assert_int_equal(phrase.meter_beats, 2);
  assert_int_equal(phrase.meter_unit, 2);
  with_is("M:none\nL:1/2\nK:C", "C|CC|C", "60@0:24 60@24:24 60@48:24 60@72:24");
  assert_int_equal(phrase.meter_unit, 0);
}

static void
a_bar_goes_on_in_the_next_line(void **state)
{
  (void)state;
  with_is("M:4/4\nL:1/4\nK:C", "^C C\nC% here too\nC|C`C \\\n% alone\nCC",
          "61@0:12 61@12:12 61@24:12 61@36:12 60@48:12 60@60:12 60@72:12 60@84:12");
}

/* ---- chords ---- */

static void
chords_stand_at_their_note_and_notes_above_them(void **state)
{
  (void)state;
  phrase_of(tune("M:4/4\nL:1/4\nK:G", "D|\"G7\"G _B \"C7/E\"=B, c|\"D7\"z _e"));
  assert_string_equal(chords_shown(&phrase), "G7@0 C7/E@24 D7@48");
  static const int above[] = {-5, 0, 3, -1, 12, 13};
  static const int chord[] = {0, 0, 0, 1, 1, 2};
  for (int i = 0; i < phrase.notes; ++i) {
    assert_int_equal(phrase.note[i].above, above[i]);
    assert_int_equal(phrase.note[i].chord, chord[i]);
  }
}

static void
without_chords_the_tonics_triad_stands_from_the_beginning(void **state)
{
  (void)state;
  assert_string_equal(chords_shown(phrase_of(tune("M:4/4\nL:1/4\nK:Eb", "C|D4"))), "Eb@-12");
  assert_string_equal(chords_shown(phrase_of(tune("K:F#dor", "C"))), "F#m@0");
  assert_string_equal(chords_shown(phrase_of(tune("K:Bloc", "C"))), "Bdim@0");
}

static void
a_horns_part_is_kept_at_concert_pitch(void **state)
{
  (void)state;
  with_is("L:1/4\nK:A transpose=-2", "\"A7\"A c \"F#m7/C#\"=g", "67@0:12 71@12:12 77@24:12");
  assert_string_equal(chords_shown(&phrase), "G7@0 Em7/B@24");
  assert_int_equal(phrase.key.tonic.letter, 4);
  assert_int_equal(phrase.transpose, -2);
  with_is("L:1/4\nK:E octave=-1 transpose=3", "\"E7\"e", "67@0:12");
  assert_string_equal(chords_shown(&phrase), "G7@0");
}

/* ABC 2.1, 4.6: clefs, octave= and transpose= in K: and V:. */
static void
clefs_and_octaves_move_the_notes(void **state)
{
  (void)state;
  static const struct {
    const char *head, *music, *notes;
  } cases[] = {
    {"K:D clef=treble-8", "\"D7\"D2d2", "50@0:12 62@12:12"},
    {"K:D treble+8", "\"D7\"D2d2", "74@0:12 86@12:12"},
    {"K:D bass", "\"D7\"D2d2", "62@0:12 74@12:12"},
    {"K:D clef=bass3-8 middle=d stafflines=1", "\"D7\"D2d2", "50@0:12 62@12:12"},
    {"K:D clef=treble-8 octave=1", "\"D7\"D2d2", "62@0:12 74@12:12"},
    {"V:1 name=\"Low clef=treble voice\" octave=-1\nK:D", "\"D7\"D2d2", "50@0:12 62@12:12"},
    {"K:D\nV:1 clef=tenor-8", "\"D7\"D2d2", "50@0:12 62@12:12"},
    {"K:D octave=1\nV:1 octave=-1", "\"D7\"D2d2", "50@0:12 62@12:12"},
    {"K:D octave=-1", "\"D7\"D2[K:G]G2", "50@0:12 55@12:12"},
    {"K:D treble-8", "\"D7\"D2[K:G treble]G2", "50@0:12 67@12:12"},
    {"K:D", "\"D7\"F2[K:octave=1]F2", "66@0:12 78@12:12"}, /* the key stays */
    {"K:D", "\"D7\"F2[V:1 clef=bass-8]F2", "66@0:12 54@12:12"},
    {"K:clef=alto", "\"D7\"F2", "65@0:12"}, /* no key */
    {"K:D clef=treble8", "\"D7\"D2", "62@0:12"},
  };
  for (size_t i = 0; i < sizeof(cases) / sizeof(cases[0]); ++i) {
    with_is(cases[i].head, cases[i].music, cases[i].notes);
  }
}

static void
a_voice_may_be_transposed_and_so_may_a_part_of_it(void **state)
{
  (void)state;
  with_is("V:1 transpose=-2\nK:A", "\"A7\"A2", "67@0:12");
  assert_string_equal(chords_shown(&phrase), "G7@0");
  assert_int_equal(phrase.key.tonic.letter, 4);
  with_is("K:A\nV:1 transpose=-2", "\"A7\"A2", "67@0:12");
  assert_string_equal(chords_shown(&phrase), "G7@0");
  assert_int_equal(phrase.key.tonic.letter, 4);
  assert_int_equal(phrase.transpose, -2);
  with_is("K:A", "\"A7\"A2[K:A transpose=-2]\"A7\"A2", "69@0:12 67@12:12");
  assert_string_equal(chords_shown(&phrase), "A7@0 G7@12");
  assert_int_equal(phrase.key.tonic.letter, 5); /* its first one */
}

/* ---- the header ---- */

static void
keys_have_modes(void **state)
{
  (void)state;
  static const struct {
    const char *key;
    int         mode;
    bool        minor;
    const char *notes; /* of F B E */
  } cases[] = {
    {"K:C", 0, false, "65@0:12 71@12:12 64@24:12"},
    {"K:Cmajor", 0, false, "65@0:12 71@12:12 64@24:12"},
    {"K:G Ionian", 0, false, "66@0:12 71@12:12 64@24:12"},
    {"K:Ddor", 1, true, "65@0:12 71@12:12 64@24:12"},
    {"K:EPHR", 2, true, "65@0:12 71@12:12 64@24:12"},
    {"K:Flydian", 3, false, "65@0:12 71@12:12 64@24:12"},
    {"K:G  Mix", 4, false, "65@0:12 71@12:12 64@24:12"},
    {"K:Cmix", 4, false, "65@0:12 70@12:12 64@24:12"},
    {"K:Am", 5, true, "65@0:12 71@12:12 64@24:12"},
    {"K:C minor", 5, true, "65@0:12 70@12:12 63@24:12"},
    {"K:Aaeo", 5, true, "65@0:12 71@12:12 64@24:12"},
    {"K:Bloc", 6, true, "65@0:12 71@12:12 64@24:12"},
    {"K:F#", 0, false, "66@0:12 71@12:12 65@24:12"},
  };
  for (size_t i = 0; i < sizeof(cases) / sizeof(cases[0]); ++i) {
    char   header[64];
    RlText text = rl_text_in(header, sizeof(header));
    rl_text_add(&text, "L:1/4\n");
    rl_text_add(&text, cases[i].key);
    with_is(header, "F B E", cases[i].notes);
    assert_int_equal(phrase.mode, cases[i].mode);
    assert_int_equal(phrase.key.minor, cases[i].minor);
  }
  with_is("L:1/4\nK:none", "\"G7\"F", "65@0:12");
}

static void
tempos_are_quarters_a_minute(void **state)
{
  (void)state;
  static const struct {
    const char *tempo;
    double      quarters;
  } cases[] = {
    {"Q:1/4=120", 120},
    {"Q:3/8=66", 99},
    {"Q:1/2=92.5", 185},
    {"Q:1/12=100.000001", 33.333334},
    {"Q:120", 60},
    {"Q: 1/4 3/8=40", 100},
    {"Q:\"Slow\" 1/4=60", 60},
    {"Q:1/4=60 \"Slow\"", 60},
    {"Q:\"Slow\"", 0},
    {"Q:1/4 = 33.333333", 33.333333},
  };
  for (size_t i = 0; i < sizeof(cases) / sizeof(cases[0]); ++i) {
    char   header[64];
    RlText text = rl_text_in(header, sizeof(header));
    rl_text_add(&text, cases[i].tempo);
    rl_text_add(&text, "\nL:1/8\nK:C");
    assert_true(phrase_of(tune(header, "C"))->tempo == cases[i].quarters);
  }
}

static void
titles_and_what_informs_are_kept(void **state)
{
  (void)state;
  phrase_of("%abc-2.1\r\nX:7\r\nT: Ninety \\% full % a comment\r\nT:The other name\r\nC:  Me\r\n"
            "N: 5\\% x\r\nK:C\r\n% nothing\r\nC\r\n\r\n\r\n");
  assert_string_equal(phrase.title, "Ninety % full");
  assert_string_equal(phrase.fields, "T:The other name\nC:  Me\nN: 5\\% x\n");
}

static void
a_book_gives_its_tunes_with_their_lines(void **state)
{
  (void)state;
  static const char text[] =
    "%abc-2.1\nA few words\n\nX:1\nK:C\nC\n\nmore words\nX:2\nT:B\nK:C\nD\n \n"
    "\nK: words, not a tune\n\nX:3\nK:C\nE";
  static const int lines[] = {4, 9, 17}, pitches[] = {60, 62, 64};
  RlAbcBook        book = rl_abc_book(rl_slice(text));
  for (int i = 0; i < 3; ++i) {
    const RlSlice one = rl_abc_next(&book);
    assert_true(rl_abc_read(one, &phrase, &the_error));
    assert_int_equal(book.line, lines[i]);
    assert_int_equal(rl_phrase_pitch(&phrase, phrase.note), pitches[i]);
  }
  assert_int_equal(rl_abc_next(&book).length, 0);
  book = rl_abc_book(rl_slice("\nL:1/4\n\nX:1\nK:C\nC\n"));
  assert_false(rl_abc_read(rl_abc_next(&book), &phrase, &the_error));
  assert_int_equal(book.line, 2);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(letters_and_octave_marks_are_pitches),
    cmocka_unit_test(accidentals_hold_to_the_bar_line_in_every_octave),
    cmocka_unit_test(the_key_alters_what_has_no_sign),
    cmocka_unit_test(lengths_multiply_the_unit),
    cmocka_unit_test(rests_take_time),
    cmocka_unit_test(a_tied_note_is_one_note),
    cmocka_unit_test(a_tie_takes_the_accidental_over_the_bar_line_and_no_further),
    cmocka_unit_test(a_group_puts_p_notes_in_the_time_of_q),
    cmocka_unit_test(groups_of_five_seven_and_nine_go_by_the_meter),
    cmocka_unit_test(broken_rhythm_lengthens_one_note_and_shortens_the_other),
    cmocka_unit_test(notes_together_share_their_length),
    cmocka_unit_test(slurs_join_all_but_the_last),
    cmocka_unit_test(slides_and_bends_are_kept),
    cmocka_unit_test(falls_are_kept),
    cmocka_unit_test(a_short_first_bar_before_another_is_a_pickup),
    cmocka_unit_test(bar_lines_of_four_kinds_and_none),
    cmocka_unit_test(a_bar_goes_on_in_the_next_line),
    cmocka_unit_test(chords_stand_at_their_note_and_notes_above_them),
    cmocka_unit_test(without_chords_the_tonics_triad_stands_from_the_beginning),
    cmocka_unit_test(a_horns_part_is_kept_at_concert_pitch),
    cmocka_unit_test(clefs_and_octaves_move_the_notes),
    cmocka_unit_test(a_voice_may_be_transposed_and_so_may_a_part_of_it),
    cmocka_unit_test(keys_have_modes),
    cmocka_unit_test(tempos_are_quarters_a_minute),
    cmocka_unit_test(titles_and_what_informs_are_kept),
    cmocka_unit_test(a_book_gives_its_tunes_with_their_lines),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
