/* SPDX-License-Identifier: ISC */
/* What a phrase has no room for is left out and counted, and repeats are played out. The first
   table holds what a reader could refuse and this one reads. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "core/abc/abc.h"

#include <string.h>

#define METER "X:1\nM:4/4\nL:1/4\nK:C\n"
#define FREE  "X:1\nL:1/4\nK:C\n"

static RlPhrase     phrase;
static RlAbcLeftOut left;

static void
time_show(RlText *const out, const int32_t ticks)
{
  rl_text_add_int(out, ticks / (RL_TICKS / 12));
  rl_text_add(out, ticks % (RL_TICKS / 12) ? "?" : "");
}

/* `67@0:12 …`: pitch, onset, length in twelfths of a quarter; or why it is refused. */
static const char *
notes_of(const RlSlice text)
{
  static char buffer[8192];
  RlText      out = rl_text_in(buffer, sizeof(buffer));
  RlAbcError  error;
  if (!rl_abc_read_counting(text, &phrase, &left, &error)) {
    rl_abc_error_write(&error, &out);
    return buffer;
  }
  for (int i = 0; i < phrase.notes; ++i) {
    rl_text_add(&out, i ? " " : "");
    rl_text_add_int(&out, rl_phrase_pitch(&phrase, &phrase.note[i]));
    rl_text_add(&out, "@");
    time_show(&out, phrase.note[i].at);
    rl_text_add(&out, ":");
    time_show(&out, phrase.note[i].lasts);
  }
  return buffer;
}

/* The letters of the notes in order of time, C to B whatever their octave; all are naturals. */
static const char *
letters_of(const char *const text)
{
  static char buffer[1024];
  RlText      out   = rl_text_in(buffer, sizeof(buffer));
  const char *notes = notes_of(rl_slice(text));
  for (int i = 0; i < phrase.notes; ++i) {
    const int letter = "C_D_EF_G_A_B"[rl_phrase_pitch(&phrase, &phrase.note[i]) % 12];
    rl_text_add_slice(&out, (RlSlice){(const char[]){(char)letter}, 1});
  }
  return strncmp(notes, "line ", 5) ? buffer : notes;
}

static const char *
words(void)
{
  static char buffer[512];
  RlText      out = rl_text_in(buffer, sizeof(buffer));
  rl_abc_left_write(&left, &out);
  return buffer;
}

static const struct {
  const char *text, *notes, *left;
} cases[] = {
  {"X:1\nK:C\nC\n%%MIDI program 22\n", "60@0:6", "a line of information left out"},
  {"%%scale 1\nX:1\nK:C\nC\n", "60@0:6", "a line of information left out"},
  {"X:1\nT:xxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxx\nK:C\nC\n", "60@0:6",
   "the end of the title left out"},
  {"X:1\nK:HP\nC\n", "61@0:6", ""},
  {"X:1\nK:Gmixx clef=treble\nC\n", "60@0:6", ""},
  {"X:1\nK:G ^f\nC\n", "60@0:6", ""},
  {"X:1\nV:1\nK:C\nC\n", "60@0:6", ""},
  {"X:1\nK:C clef=treble8\nC\n", "60@0:6", "a line of information left out"},
  {"X:1\nV:1 clef=G2 octave=7\nK:C\nC\n", "60@0:6", "2 lines of information left out"},
  {"X:1\nV:1 octave=0 stem=up\nK:C bass stafflines=4\nC\n", "60@0:6", ""},
  {"X:1\nK:C\nC\n[K:transpose=2]C\n", "60@0:6 62@6:6",
   "the key changes inside; the first one counts"},
  {"X:1\nP:AB\nK:C\nC\n", "60@0:6", "a line of information left out"},
  {"X:1\nK:C\nC\nw:la\n", "60@0:6", "a line of words left out"},
  {"X:1\nN:a\n+:b\nK:C\nC\n", "60@0:6", "a line of information left out"},
  {"X:1\nU:T=!slide!\nK:C\nC\n", "60@0:6", "a line of information left out"},
  {"X:1\nI:linebreak $\nK:C\nC\n", "60@0:6", "a line of information left out"},
  {"X:1\nr:a\nK:C\nC\n", "60@0:6", "a line of information left out"},
  {"X:1\nK:C\nC\nK:D\nD\n", "60@0:6 62@6:6", "the key changes inside; the first one counts"},
  {"X:1\nK:C\nC\nM:3/4\nD\n", "60@0:6 62@6:6", "the meter changes inside; the first one counts"},
  {"X:1\nK:C\nC\nN:late\nD\n", "60@0:6 62@6:6", "a line of information left out"},
  {FREE "[CEGc]\n", "64@0:12 67@0:12 72@0:12", "the lowest note of a chord left out"},
  {FREE "[\"C\"CE]\n", "60@0:12 64@0:12", ""},
  {FREE "[C-E-][CE]\n", "60@0:24 64@0:24", ""},
  {FREE "C -C\n", "60@0:24", ""},
  {FREE "-C\n", "60@0:12", "a tie left out"},
  {FREE "C-D\n", "60@0:12 62@12:12", "a tie left out"},
  {FREE "C-z\n", "60@0:12", "a tie left out"},
  {FREE "C--C\n", "60@0:24", "a tie left out"},
  {FREE "C-\n", "60@0:12", "a tie left out"},
  {FREE "[CE]-C\n", "60@0:12 64@0:12 60@12:12", "a tie left out"},
  {FREE "C-!slide!C\n", "60@0:24", "an ornament left out"},
  {FREE "(C(DE)F)\n", "60@0:12 62@12:12 64@24:12 65@36:12", "a slur left out"},
  {FREE "(C)\n", "60@0:12", "a slur left out"},
  {FREE "(C-C)\n", "60@0:24", "a slur left out"},
  {FREE "CD)\n", "60@0:12 62@12:12", "a slur left out"},
  {FREE "(CD\n", "60@0:12 62@12:12", "a slur left out"},
  {FREE "!trill!C\n", "60@0:12", "an ornament left out"},
  {FREE "! C\n", "60@0:12", ""},
  {FREE "!slide!!slide!C\n", "60@0:12", ""},
  {FREE "C!slide!\n", "60@0:12", "an ornament left out"},
  {FREE "\"H7\"C\n", "60@0:12", "a text in quotes left out"},
  {FREE "\"G7x\"C\n", "60@0:12", "a chord symbol left out"},
  {FREE "\"G/H\"C\n", "60@0:12", "a chord symbol left out"},
  {FREE "\"I7\"C\n", "60@0:12", "a text in quotes left out"},
  {FREE "\"N.C.\"C\n", "60@0:12", "a text in quotes left out"},
  {FREE "\"\"C\n", "60@0:12", "a text in quotes left out"},
  {FREE "\"C\"\"D\"C\n", "60@0:12", "a chord symbol left out"},
  {FREE "C\"G7\"\n", "60@0:12", "a chord symbol left out"},
  {FREE "\"^low\"C\n", "60@0:12", "a text in quotes left out"},
  {METER "C4|:C4:|\n", "60@0:48 60@48:48 60@96:48", ""},
  {METER "C4:|\n", "60@0:48 60@48:48", ""},
  {METER "C4|1C4\n", "60@0:48 60@48:48", ""},
  {METER "C4|[1C4\n", "60@0:48 60@48:48", ""},
  {METER "C4[|]C4\n", "60@0:48 60@48:48", ""},
  {METER "CCCCC|C4\n", "60@0:12 60@12:12 60@24:12 60@36:12 60@48:12 60@60:48",
   "the bar at line 5, column 1 does not fill its meter"},
  {METER "C4|C2|C4\n", "60@0:48 60@48:24 60@72:48",
   "the bar at line 5, column 4 does not fill its meter"},
  {METER "C4|CCCCC\n", "60@0:48 60@48:12 60@60:12 60@72:12 60@84:12 60@96:12",
   "the bar at line 5, column 4 does not fill its meter"},
  {METER "\"C\"Z|C4\n", "60@48:48", ""},
  {METER "C4-|Z|C4\n", "60@0:48 60@96:48", "a tie left out"},
  {METER "!slide!Z|C4\n", "60@48:48", "an ornament left out"},
  {FREE "{D}C\n", "60@0:12", "a grace note left out"},
  {FREE ".C\n", "60@0:12", "a playing mark left out"},
  {FREE "~C\n", "60@0:12", "an ornament left out"},
  {FREE "TC\n", "60@0:12", "an ornament left out"},
  {FREE "+slide+C\n", "60@0:12", ""},
  {FREE "yC\n", "60@0:12", ""},
  {FREE "[K:D]C\n", "61@0:12", ""},
  {FREE "C$\n", "60@0:12", ""},
  {FREE "C*\n", "60@0:12", ""},
};

static void
what_has_no_room_is_left_out_and_said(void **state)
{
  (void)state;
  for (size_t i = 0; i < sizeof(cases) / sizeof(cases[0]); ++i) {
    assert_string_equal(notes_of(rl_slice(cases[i].text)), cases[i].notes);
    assert_string_equal(words(), cases[i].left);
  }
}

static void
words_count_and_join(void **state)
{
  (void)state;
  notes_of(rl_slice(FREE "~CTD!turn!E{g}F\n"));
  assert_string_equal(words(), "3 ornaments and a grace note left out");
  notes_of(rl_slice(FREE ".C!p!D{fg}E \"slow\"F \"^up\"G\nw: a b\nW: c\n"));
  assert_string_equal(words(), "2 playing marks, 2 grace notes, 2 texts in quotes and "
                               "2 lines of words left out");
  notes_of(rl_slice(METER "C4|!D.C.!C2|C2|~C4|C4|\n"));
  assert_string_equal(words(), "an ornament and a jump such as D.C. left out; the bar at line 5, "
                               "column 10 and others do not fill their meter");
}

/* ABC 2.1, 4.8 and 4.9; counted once is what is played twice. */
static void
repeats_and_endings_are_played_out(void **state)
{
  (void)state;
  static const struct {
    const char *music, *letters;
  } played[] = {
    {"C4|D4:|E4", "CDCDE"},
    {"C4|:D4:|E4", "CDDE"},
    {"|:C4:|:D4:|", "CCDD"},
    {"|:C4::D4:|", "CCDD"},
    {"|:C4:||:D4:|", "CCDD"},
    {"|:C4:|D4:|", "CCDD"},
    {"C4||D4:|E4", "CDCDE"},
    {"C4|]D4:|E4", "CDCDE"},
    {"|:C4:|1D4|", "CCD"},
    {"|::C4::|D4|]", "CCCD"},
    {"|:C4|1D4:|2E4|]", "CDCE"},
    {"|:C4|1D4:|2E4:|:F4:|", "CDCEFF"},
    {"|:C4|[1D4:|[2E4|]F4", "CDCEF"},
    {"|:C4|1 D4:|\n[2 E4||F4|", "CDCEF"},
    {"|:C4|[1,3D4:|[2E4:|[4F4|]", "CDCECDCF"},
    {"|:C4|[1-3D4:|4E4|]", "CDCDCDCE"},
    {"C4|1D4:|2E4||F4|1G4:|2A4|]", "CDCEFGFA"},
    {"|:C4|1D4:|E4|F4|", "CDCEF"},
    {"|:C4|1D4|\nE4:|\nK:C\n|2F4|\nG4|]", "CDECFG"},
    {"[|C4|]D4|:E4:|]", "CDEE"},
    {".|C4.|D4|]", "CD"},
  };
  for (size_t i = 0; i < sizeof(played) / sizeof(played[0]); ++i) {
    char   buffer[256];
    RlText text = rl_text_in(buffer, sizeof(buffer));
    rl_text_add(&text, METER);
    rl_text_add(&text, played[i].music);
    assert_string_equal(letters_of(buffer), played[i].letters);
    assert_string_equal(words(), "");
  }
  assert_string_equal(letters_of(METER "|:C4|\"text |2 x\"D4|1E4 % |2\n:|2F4|]"), "CDECDF");
  assert_string_equal(words(), "a text in quotes left out");
  notes_of(rl_slice(METER "|:~C4:|{d}E4|~F4|1 TG4:|2 ~A4|]\n"));
  assert_string_equal(words(), "4 ornaments and a grace note left out");
}

static void
a_repeat_begins_with_its_own_key_and_length(void **state)
{
  (void)state;
  assert_string_equal(notes_of(rl_slice(METER "|:F2 [K:G]F2|[L:1/8]F8:|\n")),
                      "65@0:24 66@24:24 66@48:48 65@96:24 66@120:24 66@144:48");
  assert_string_equal(words(), "the key changes inside; the first one counts");
}

static void
pickups_of_sections_fill_up_the_bar_before(void **state)
{
  (void)state;
  letters_of(METER "C|D4|E3:|F|G4|A3|]\n");
  assert_string_equal(words(), "");
  assert_int_equal(phrase.pickup, RL_TICKS);
  letters_of(METER "C|D4|E4:|F|G4|A3|]\n");
  assert_string_equal(words(), "the bar at line 5, column 1 and others do not fill their meter");
}

static void
parts_are_played_in_their_order(void **state)
{
  (void)state;
  assert_string_equal(letters_of("X:1\nM:4/4\nL:1/4\nP:ABA2\nK:C\nP:A\nC4|\nP:B\nD4|E4|\n"),
                      "CDECC");
  assert_string_equal(words(), "");
  assert_string_equal(letters_of("X:1\nM:4/4\nL:1/4\nP:B.A\nK:C\nP:A\n~C4:|\nP:B\n~D4|\n"), "DCC");
  assert_string_equal(words(), "2 ornaments left out");
  assert_string_equal(letters_of("X:1\nM:4/4\nL:1/4\nP:(AB)2\nK:C\nP:A\nC4|\nP:B\nD4|\n"), "CD");
  assert_string_equal(words(), "3 lines of information left out");
  assert_string_equal(letters_of(METER "P:A\nC4|[P:B]D4|\n"), "CD");
}

static RlSlice
often(const char *const head, const char *const again, const int times, const char *const end)
{
  static char buffer[RL_ABC_MAX];
  RlText      text = rl_text_in(buffer, sizeof(buffer));
  rl_text_add(&text, head);
  for (int i = 0; i < times; ++i) {
    rl_text_add(&text, again);
  }
  rl_text_add(&text, end);
  return (RlSlice){buffer, text.used};
}

static void
without_room_for_the_repeats_each_part_stands_once(void **state)
{
  (void)state;
  notes_of(often(METER "|:", "CDEF|", 64, ":|\n"));
  assert_int_equal(phrase.notes, 512);
  assert_string_equal(words(), "");
  notes_of(often(METER "|:", "CDEF|", 64, "[1~G4:|[2A4|]\n"));
  assert_int_equal(phrase.notes, 257);
  assert_int_equal(rl_phrase_pitch(&phrase, &phrase.note[256]), 69);
  assert_string_equal(words(),
                      "no room for the repeats: each part stands once; make several phrases of it");
}

static void
chords_may_have_small_basses(void **state)
{
  (void)state;
  notes_of(rl_slice(METER "\"G7/b\"G4|\"Am/e\"z4|\n"));
  assert_int_equal(phrase.chords, 2);
  assert_int_equal(phrase.chord[0].chord.bass.step, 6);
  assert_int_equal(phrase.chord[1].chord.bass.step, 2);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(what_has_no_room_is_left_out_and_said),
    cmocka_unit_test(words_count_and_join),
    cmocka_unit_test(repeats_and_endings_are_played_out),
    cmocka_unit_test(a_repeat_begins_with_its_own_key_and_length),
    cmocka_unit_test(pickups_of_sections_fill_up_the_bar_before),
    cmocka_unit_test(parts_are_played_in_their_order),
    cmocka_unit_test(without_room_for_the_repeats_each_part_stands_once),
    cmocka_unit_test(chords_may_have_small_basses),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
