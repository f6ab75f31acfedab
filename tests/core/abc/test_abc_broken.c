/* SPDX-License-Identifier: ISC */
/* One broken tune for each way of being broken, with all that is said about it. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "core/abc/abc.h"

#include <string.h>

#define METER "X:1\nM:4/4\nL:1/4\nK:C\n"
#define FREE  "X:1\nL:1/4\nK:C\n"

static const struct {
  const char *text, *said;
} broken[] = {
  {"", "line 1, column 1: there is no tune; it begins with a line X:1"},
  {"%abc-2.1\n", "line 1, column 9: there is no tune; it begins with a line X:1"},
  {"Ferry\n",
   "line 1, column 1: a tune begins with X:1; put the line after K:, or begin it with %"},
  {"M:4/4\nX:1\nK:C\nC\n", "line 1, column 1: M: stands before X:, where it holds for a whole "
                           "book; write it into each tune"},
  {"X:1\n", "line 1, column 4: there is no K:, the last line before the music; write K:G"},
  {"X:1\nT:Tide Bell\n\nK:C\nC\n", "line 3, column 1: a blank line ends the tune, and there is no "
                                   "K: yet; take the line out, or begin it with %"},
  {"X:1\nK:C\n", "line 2, column 4: there are no notes; write them after K:"},
  {"X:1\nK:C\nz\n", "line 3, column 2: there are no notes; write them after K:"},
  {"X:1\nK:C\nC\n\nD\n", "line 5, column 1: a blank line has ended the tune; take it out, or read "
                         "one tune of the book at a time"},
  {"X:1\nCDEF\nK:C\n", "line 2, column 1: this line is not a field, and stands above K:, the last "
                       "line before the music; write K: above it"},
  {"X:1\nK:C\nC\377D\n", "line 3, column 2: this byte is not text; save the tune as UTF-8"},
  {"X:one\nK:C\nC\n", "line 1, column 3: no such tune number \"one\"; write up to six digits: X:1"},
  {"X:1\nX:2\nK:C\nC\n", "line 2, column 1: X: appears twice; keep one of the two"},
  {"X:1\nM:4/4\nM:3/4\nK:C\nC\n", "line 3, column 1: M: appears twice; keep one of the two"},
  {"X:1\nM:4\nK:C\nC\n", "line 2, column 3: no such meter \"4\"; write 1 to 32 over 1, 2, 4, 8, 16 "
                         "or 32: 12/8; or C, C| or none"},
  {"X:1\nM:(2+3)/8\nK:C\nC\n", "line 2, column 3: no such meter \"(2+3)/8\"; write 1 to 32 over 1, "
                               "2, 4, 8, 16 or 32: 12/8; or C, C| or none"},
  {"X:1\nM:33/4\nK:C\nC\n", "line 2, column 3: no such meter \"33/4\"; write 1 to 32 over 1, 2, 4, "
                            "8, 16 or 32: 12/8; or C, C| or none"},
  {"X:1\nM:4/3\nK:C\nC\n", "line 2, column 3: no such meter \"4/3\"; write 1 to 32 over 1, 2, 4, "
                           "8, 16 or 32: 12/8; or C, C| or none"},
  {"X:1\nM:\nK:C\nC\n", "line 2, column 3: no such meter \"\"; write 1 to 32 over 1, 2, 4, 8, 16 "
                        "or 32: 12/8; or C, C| or none"},
  {"X:1\nL:1/3\nK:C\nC\n",
   "line 2, column 3: no such note length \"1/3\"; write 1/1 to 1/256, halved: L:1/8"},
  {"X:1\nL:3/8\nK:C\nC\n",
   "line 2, column 3: no such note length \"3/8\"; write 1/1 to 1/256, halved: L:1/8"},
  {"X:1\nL:1/512\nK:C\nC\n",
   "line 2, column 3: no such note length \"1/512\"; write 1/1 to 1/256, halved: L:1/8"},
  {"X:1\nQ:fast\nK:C\nC\n",
   "line 2, column 3: no such tempo \"fast\"; write a note length and how many a minute: 1/4=96"},
  {"X:1\nQ:1/4=0\nK:C\nC\n",
   "line 2, column 3: no such tempo \"1/4=0\"; write a note length and how many a minute: 1/4=96"},
  {"X:1\nQ:1/4=9999 2\nK:C\nC\n", "line 2, column 3: no such tempo \"1/4=9999 2\"; write a note "
                                  "length and how many a minute: 1/4=96"},
  {"X:1\nQ:\"Slow\nK:C\nC\n",
   "line 2, column 3: no such tempo \"\"Slow\"; write a note length and how many a minute: 1/4=96"},
  {"X:1\nQ:1/64=12\nK:C\nC\n",
   "line 2, column 3: the tempo is not 1 to 9999 quarter notes a minute; write Q:1/4=96"},
  {"X:1\nQ:1/7=12.1234567\nK:C\nC\n", "line 2, column 3: no such tempo \"1/7=12.1234567\"; write a "
                                      "note length and how many a minute: 1/4=96"},
  {"X:1\nK:H\nC\n",
   "line 2, column 3: no such key \"H\"; write a letter A to G, # or b, and maj, m, ion, dor, phr, "
   "lyd, mix, aeo or loc, with at most seven signs: Gmix; or none"},
  {"X:1\nK:\nC\n", "line 2, column 3: no such key \"\"; write a letter A to G, # or b, and maj, m, "
                   "ion, dor, phr, lyd, mix, aeo or loc, with at most seven signs: Gmix; or none"},
  {"X:1\nK:Cxyz\nC\n",
   "line 2, column 3: no such key \"Cxyz\"; write a letter A to G, # or b, and maj, m, ion, dor, "
   "phr, lyd, mix, aeo or loc, with at most seven signs: Gmix; or none"},
  {"X:1\nK:D#\nC\n",
   "line 2, column 3: no such key \"D#\"; write a letter A to G, # or b, and maj, m, ion, dor, "
   "phr, lyd, mix, aeo or loc, with at most seven signs: Gmix; or none"},
  {"X:1\nK:G transpose=49\nC\n", "line 2, column 5: \"transpose=49\" is out of range; transpose= "
                                 "goes from -48 to 48, octave= from -4 to 4"},
  {"X:1\nK:G octave=x\nC\n", "line 2, column 5: \"octave=x\" is out of range; transpose= goes from "
                             "-48 to 48, octave= from -4 to 4"},
  {"X:1\nK:octave=5\nC\n", "line 2, column 3: \"octave=5\" is out of range; transpose= goes from "
                           "-48 to 48, octave= from -4 to 4"},
  {"X:1\nK:trebles\nC\n", "line 2, column 3: no such key \"trebles\"; write a letter A to G, # or "
                          "b, and maj, m, ion, dor, "
                          "phr, lyd, mix, aeo or loc, with at most seven signs: Gmix; or none"},
  {"X:1\nK:none\nC\n", "line 3, column 2: K:none and no chord symbols: nothing says what the notes "
                       "are played over; write the chord before the first note: \"G7\""},
  {"X:1\nK:C\nC\nX:2\nK:C\nC\n",
   "line 4, column 1: X: begins another tune; put a blank line before it"},
  {FREE "C ^ D\n", "line 4, column 3: no note follows this accidental; write one of ^^ ^ = _ "
                   "__ and a letter: _B; quarter tones are not read"},
  {FREE "^/C\n", "line 4, column 1: no note follows this accidental; write one of ^^ ^ = _ "
                 "__ and a letter: _B; quarter tones are not read"},
  {FREE "=^C\n", "line 4, column 1: no note follows this accidental; write one of ^^ ^ = _ "
                 "__ and a letter: _B; quarter tones are not read"},
  {FREE "^z\n", "line 4, column 1: no note follows this accidental; write one of ^^ ^ = _ __ "
                "and a letter: _B; quarter tones are not read"},
  {FREE "C,,,,,,\n", "line 4, column 1: this note is out of range: below MIDI note 0 or above 127; "
                     "move it by octaves"},
  {FREE "c'''''G'''''\n", "line 4, column 1: this note is out of range: below MIDI note 0 or above "
                          "127; move it by octaves"},
  {FREE "c''''''\n", "line 4, column 1: this note is out of range: below MIDI note 0 or above 127; "
                     "move it by octaves"},
  {FREE "C0\n", "line 4, column 2: no such length \"0\"; write 3, 3/2, /2 or / after the note"},
  {FREE "C/0\n", "line 4, column 2: no such length \"/0\"; write 3, 3/2, /2 or / after the note"},
  {FREE "C//3\n", "line 4, column 2: no such length \"//3\"; write 3, 3/2, /2 or / after the note"},
  {FREE "C1000000000\n",
   "line 4, column 2: no such length \"1000000000\"; write 3, 3/2, /2 or / after the note"},
  {FREE "C/11\n", "line 4, column 1: this length cannot be counted: a quarter note has 20160 "
                  "ticks, a tune at most 4096 whole notes; write a simpler one"},
  {FREE "C///////////\n", "line 4, column 1: this length cannot be counted: a quarter note has "
                          "20160 ticks, a tune at most 4096 whole notes; write a simpler one"},
  {FREE "C20000\n", "line 4, column 1: this length cannot be counted: a quarter note has 20160 "
                    "ticks, a tune at most 4096 whole notes; write a simpler one"},
  {FREE "C 2\n",
   "line 4, column 3: this belongs right after a note; delete the space, or write the note"},
  {FREE "3C\n",
   "line 4, column 1: this belongs right after a note; delete the space, or write the note"},
  {FREE "C '\n",
   "line 4, column 3: this belongs right after a note; delete the space, or write the note"},
  {FREE "[]\n",
   "line 4, column 1: notes sounded together stand between [ and ] on one line: [df]2"},
  {FREE "[CE\n",
   "line 4, column 1: notes sounded together stand between [ and ] on one line: [df]2"},
  {FREE "[CC]\n", "line 4, column 3: the same note twice in [ ]; leave one of them out"},
  {FREE "[C2E]\n", "line 4, column 4: notes of different lengths in [ ]; write one length for all, "
                   "after the bracket"},
  {FREE "[C50000E50000]50000\n", "line 4, column 1: the lengths inside and after the brackets are "
                                 "too large together; write one after the bracket"},
  {FREE "[\342\231\257C]\n",
   "line 4, column 2: \"\342\231\257\" stands inside [ ]; only notes and "
   "their lengths do: put chord symbols, !slide! and ( before the bracket, ties after it"},
  {FREE "]\n",
   "line 4, column 1: no [ is open here; write it before the first note, or leave ] out"},
  {FREE "z-z\n", "line 4, column 4: there are no notes; write them after K:"},
  {FREE "()\n", "line 4, column 3: there are no notes; write them after K:"},
  {FREE "(1C\n", "line 4, column 1: no such group of notes; write (3abc, 2 to 9, or with the time "
                 "it takes and how many notes: (3:2:2a2b"},
  {FREE "(10C\n", "line 4, column 1: no such group of notes; write (3abc, 2 to 9, or with the time "
                  "it takes and how many notes: (3:2:2a2b"},
  {FREE "(3:0:2C\n", "line 4, column 1: no such group of notes; write (3abc, 2 to 9, or with the "
                     "time it takes and how many notes: (3:2:2a2b"},
  {FREE "(3CD|E\n", "line 4, column 1: the bar ends before the notes of this group; write (3abc "
                    "or, for fewer notes, (3:2:2a2b"},
  {FREE "(3CD\n", "line 4, column 1: the bar ends before the notes of this group; write (3abc or, "
                  "for fewer notes, (3:2:2a2b"},
  {FREE "(3C(3DEF\n", "line 4, column 4: a group begins inside another, or after > or <; write "
                      "them one after the other"},
  {FREE "C>(3DEF\n", "line 4, column 3: a group begins inside another, or after > or <; write "
                     "them one after the other"},
  {FREE "(3:2000C\n", "line 4, column 1: no such group of notes; write (3abc, 2 to 9, or with the "
                      "time it takes and how many notes: (3:2:2a2b"},
  {FREE ">C\n", "line 4, column 1: > and < stand between two notes of a bar, and each note has one "
                "of them; write a>b c>d"},
  {FREE "C>|D\n", "line 4, column 2: no note after > or < in this bar; they stand between two "
                  "notes; write the lengths: a3/2 | b/2"},
  {FREE "C|>D\n", "line 4, column 3: > and < stand between two notes of a bar, and each note has "
                  "one of them; write a>b c>d"},
  {FREE "C>D>E\n", "line 4, column 4: > and < stand between two notes of a bar, and each note has "
                   "one of them; write a>b c>d"},
  {FREE "C2>D\n",
   "line 4, column 3: > and < stand between notes of the same length; write the lengths: a3/2 b/2"},
  {FREE "C>>>>D\n", "line 4, column 2: more than three > or <; write the lengths: a15/8 b/8"},
  {FREE "C>\n", "line 4, column 2: no note after > or < in this bar; they stand between two notes; "
                "write the lengths: a3/2 | b/2"},
  {FREE "C/64>D/64\n", "line 4, column 5: these notes are too short for this; write their lengths"},
  {FREE "!slide!z\n", "line 4, column 9: there are no notes; write them after K:"},
  {FREE "\"C\n", "line 4, column 1: these quotes are not closed in their line; write \"G7\""},
  {FREE "\"^bend\"z\n", "line 4, column 9: there are no notes; write them after K:"},
  {METER "C4|z Z\n",
   "line 5, column 6: Z rests for whole bars and stands alone in its bar; write z here"},
  {METER "Z129\n",
   "line 5, column 1: Z rests for up to 128 bars, and belongs to no group; write bars of z there"},
  {METER "Z128|C4\n", "line 5, column 6: more than 128 bars; make several phrases of it"},
  {METER "(3Z|C4\n",
   "line 5, column 3: Z rests for up to 128 bars, and belongs to no group; write bars of z there"},
  {FREE "Z\n",
   "line 4, column 1: Z rests for whole bars, and there is no meter; write z and a length"},
  {FREE "C&E\n",
   "line 4, column 2: a phrase has one voice; write what stands after & as a tune of its own"},
  {FREE "X2\n",
   "line 4, column 1: Z rests for whole bars, and there is no meter; write z and a length"},
  {FREE "C\\ D\n", "line 4, column 2: \\ stands at the end of a line, or not at all"},
  {FREE "C \303\251\n", "line 4, column 3: \"\303\251\" means nothing in music; leave it out"},
  {FREE "\"C\"C\"C\"C\"C\"C\"C\"C\"C\"C\"C\"C\"C\"C\"C\"C\"C\"C\"C\"C\"C\"C\"C\"C\"C\"C\"C\"C\"C\"C"
        "\"C\"C\"C\"C\"C\"C\"C\"C\"C\"C\"C\"C\"C\"C\"C\"C\"C\"C\"C\"C\"C\"C\"C\"C\"C\"C\"C\"C\"C\"C"
        "\"C\"C\"C\"C\"C\"C\n",
   "line 4, column 129: more than 32 chord symbols; make several phrases of it"},
};

static RlPhrase   phrase;
static RlAbcError error;

static const char *
said_about(const RlSlice text)
{
  static char buffer[RL_ABC_REASON_SIZE + 64];
  RlText      out = rl_text_in(buffer, sizeof(buffer));
  if (rl_abc_read(text, &phrase, &error)) {
    return "no error";
  }
  rl_abc_error_write(&error, &out);
  return buffer;
}

static void
every_broken_tune_is_refused_with_the_place_and_the_way_out(void **state)
{
  (void)state;
  for (size_t i = 0; i < sizeof(broken) / sizeof(broken[0]); ++i) {
    assert_string_equal(said_about(rl_slice(broken[i].text)), broken[i].said);
    assert_true(strlen(error.reason) < RL_ABC_REASON_SIZE - 1); /* nothing was cut */
  }
}

/* `head` and so many times `again`. */
static RlSlice
often(const char *const head, const char *const again, const int times)
{
  static char buffer[2 * RL_ABC_MAX];
  RlText      text = rl_text_in(buffer, sizeof(buffer));
  rl_text_add(&text, head);
  for (int i = 0; i < times; ++i) {
    rl_text_add(&text, again);
  }
  return (RlSlice){buffer, text.used};
}

static void
as_much_as_fits_is_read_and_one_more_is_not(void **state)
{
  (void)state;
  static const struct {
    const char *head, *again;
    int         most;
    const char *said;
  } cases[] = {
    {FREE, "C", 512, "line 4, column 513: more than 512 notes; make several phrases of it"},
    {FREE, "\"C\"C", 32,
     "line 4, column 129: more than 32 chord symbols; make several phrases of it"},
    {FREE, "C|", 128, "line 4, column 257: more than 128 bars; make several phrases of it"},
    {FREE "C%", "x", RL_ABC_MAX - 16,
     "line 1, column 1: the tune is longer than 65536 bytes; a phrase is a few bars: split it"},
  };
  for (size_t i = 0; i < sizeof(cases) / sizeof(cases[0]); ++i) {
    assert_string_equal(said_about(often(cases[i].head, cases[i].again, cases[i].most)),
                        "no error");
    assert_string_equal(said_about(often(cases[i].head, cases[i].again, cases[i].most + 1)),
                        cases[i].said);
  }
}

static void
titles_and_fields_fit_to_the_byte(void **state)
{
  (void)state;
  char   buffer[RL_PHRASE_FIELDS_SIZE + 512];
  RlText text = rl_text_in(buffer, sizeof(buffer));
  rl_text_add_slice(&text, often("X:1\nT:", "x", 63));
  rl_text_add_slice(&text, often("\nN:", "y", RL_PHRASE_FIELDS_SIZE - 4));
  rl_text_add(&text, "\nK:C\nC\n");
  assert_string_equal(said_about(rl_slice(buffer)), "no error");
  assert_int_equal(strlen(phrase.title), 63);
  assert_int_equal(strlen(phrase.fields), RL_PHRASE_FIELDS_SIZE - 1);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(every_broken_tune_is_refused_with_the_place_and_the_way_out),
    cmocka_unit_test(as_much_as_fits_is_read_and_one_more_is_not),
    cmocka_unit_test(titles_and_fields_fit_to_the_byte),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
