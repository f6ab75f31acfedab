/* SPDX-License-Identifier: ISC */
/* Phrases moved to other chords and keys, and the tab that comes of it, against what players take
   for granted. All of it is common practice, no source, written down from memory. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "core/arrange/tab.h"

#include <string.h>

static const RlPlayer bends = {3, 3, false};

/* A phrase in quavers over one chord: pitches as MIDI numbers, ended by 0. */
static RlPhrase
phrase_over(const char *const chord, const int *const pitches)
{
  RlPhrase p = {.meter_beats = 4, .meter_unit = 4, .chords = 1};
  assert_int_equal(rl_chord_read(rl_slice(chord), &p.chord[0].chord), RL_CHORD_OK);
  const RlWritten  r    = p.chord[0].chord.root;
  const RlSpelling root = {r.step, r.alter};
  p.key                 = (RlKey){root, false};
  for (int i = 0; pitches[i]; ++i) {
    p.note[p.notes++] =
      (RlPhraseNote){.at    = i * RL_TICKS / 2,
                     .lasts = RL_TICKS / 2,
                     .above = (int16_t)(pitches[i] - 60 - rl_spelling_class(root))};
  }
  return p;
}

static RlHarmony
chord_in(const char *const chord, const int tonic)
{
  RlChord c;
  assert_int_equal(rl_chord_read(rl_slice(chord), &c), RL_CHORD_OK);
  return rl_harmony_of(c, rl_key_named(tonic, false));
}

static void
moved_is(const RlPhrase *const p, const RlMove move, const int tonic, const char *const chord,
         const int *const pitches)
{
  RlNote          notes[64];
  const RlHarmony over = chord_in(chord, tonic);
  rl_phrase_move(p, move, rl_key_named(tonic, false), &over, notes);
  for (int i = 0; i < p->notes; ++i) {
    assert_int_equal(notes[i].pitch, pitches[i]);
    assert_int_equal(notes[i].at, p->note[i].at);
  }
}

static void
tab_of_player_is(const RlPlayer player, const RlPhrase *const p, const RlMove move, const int tonic,
                 const char *const chord, const int harp_key, const char *const tab)
{
  static RlTabWorkspace room;
  RlNote                notes[64];
  RlTab                 fitted[64];
  char                  buffer[256];
  RlText                text = rl_text_in(buffer, sizeof(buffer));
  const RlHarmony       over = chord_in(chord, tonic);
  const RlHarp          harp = rl_harp_make((RlHarpChoice){(uint8_t)harp_key, 0, RL_RICHTER});
  rl_phrase_move(p, move, rl_key_named(tonic, false), &over, notes);
  rl_tab_fit(notes, p->notes, &over, &harp, player, &room, fitted);
  for (int i = 0; i < p->notes; ++i) {
    rl_text_add(&text, i ? " " : "");
    rl_tab_write(fitted[i].hole, (RlTechnique)fitted[i].technique, &text);
  }
  assert_string_equal(buffer, tab);
}

static void
tab_is(const RlPhrase *const p, const RlMove move, const int tonic, const char *const chord,
       const int harp_key, const char *const tab)
{
  tab_of_player_is(bends, p, move, tonic, chord, harp_key, tab);
}

/* G blues on a C harp: the bar of the five and the bar of the four. */
static void
from_bar_nine_to_bar_ten_it_goes_down_a_tone(void **const state)
{
  static const int down[]  = {74, 72, 69, 66, 62, 0}; /* D C A F# D */
  static const int lower[] = {72, 70, 67, 64, 60};
  const RlPhrase   p       = phrase_over("D7", down);
  (void)state;
  moved_is(&p, RL_MOVE_CHORD, 7, "IV7", lower);
  moved_is(&p, RL_MOVE_CHORD, 7, "V7", down);
  moved_is(&p, RL_MOVE_NOT, 7, "IV7", down);
}

static void
with_the_key_it_goes_as_far_as_the_tonic(void **const state)
{
  static const int in_g[] = {67, 70, 72, 0};
  static const int in_e[] = {64, 67, 69};
  static const int in_c[] = {72, 75, 77};
  RlPhrase         p      = phrase_over("G7", in_g);
  (void)state;
  moved_is(&p, RL_MOVE_KEY, 4, "V7", in_e);
  moved_is(&p, RL_MOVE_KEY, 0, "V7", in_c);
}

static void
six_either_way_is_six_down(void **const state)
{
  static const int c[]       = {60, 64, 0};
  static const int f_sharp[] = {54, 58};
  const RlPhrase   p         = phrase_over("C7", c);
  (void)state;
  moved_is(&p, RL_MOVE_CHORD, 6, "I7", f_sharp);
}

/* A dominant phrase over other chords: thirds, fifths and sevenths are theirs; a blue third, a
   sixth, a ninth stay. */
static void
tones_follow_the_chord(void **const state)
{
  static const int seven[]    = {60, 64, 67, 70, 63, 69, 62, 0};
  static const int minor[]    = {60, 63, 67, 70, 63, 69, 62};
  static const int major[]    = {60, 64, 67, 71, 63, 69, 62};
  static const int half_dim[] = {60, 63, 66, 70, 63, 69, 62};
  static const int sus[]      = {60, 65, 67, 70, 63, 69, 62};
  static const int triad[]    = {60, 64, 67, 70, 63, 69, 62};
  RlNote           notes[8];
  const RlPhrase   p    = phrase_over("C7", seven);
  const RlHarmony  over = chord_in("Im7", 0);
  (void)state;
  moved_is(&p, RL_MOVE_CHORD, 0, "Im7", minor);
  moved_is(&p, RL_MOVE_CHORD, 0, "Imaj7", major);
  moved_is(&p, RL_MOVE_CHORD, 0, "Im7b5", half_dim);
  moved_is(&p, RL_MOVE_CHORD, 0, "I7sus4", sus);
  moved_is(&p, RL_MOVE_CHORD, 0, "I", triad);
  moved_is(&p, RL_MOVE_CHORD, 0, "N.C.", seven);
  rl_phrase_move(&p, RL_MOVE_CHORD, p.key, &over, notes);
  for (int i = 0; i < p.notes; ++i) {
    assert_int_equal(notes[i].followed, i == 1);
  }
}

/* Chord by chord, each to its own root, and near the first. */
static void
every_chord_goes_its_own_way(void **const state)
{
  static const int pitches[] = {69, 72, 74, 66, 0}; /* over Am7, then D7 */
  RlNote           notes[8];
  RlPhrase         p = phrase_over("Am7", pitches);
  (void)state;
  p.chords        = 2;
  p.chord[1].at   = RL_TICKS;
  p.note[2].chord = p.note[3].chord = 1;
  assert_int_equal(rl_chord_read(rl_slice("D7"), &p.chord[1].chord), RL_CHORD_OK);
  p.note[2].above         = 74 - 62;
  p.note[3].above         = 66 - 62;
  const RlHarmony over[2] = {chord_in("ii7", 0), chord_in("V7", 0)}; /* Dm7, G7 */
  rl_phrase_move(&p, RL_MOVE_CHORD, rl_key_named(0, false), over, notes);
  assert_int_equal(notes[0].pitch, 74);
  assert_int_equal(notes[1].pitch, 77);
  assert_int_equal(notes[2].pitch, 79);
  assert_int_equal(notes[3].pitch, 71);
}

/* The blues scale in second position, on every harp. */
static void
cross_harp_is_the_same_everywhere(void **const state)
{
  static const int scale[] = {67, 70, 72, 73, 74, 77, 79, 0};
  const RlPhrase   p       = phrase_over("G7", scale);
  (void)state;
  for (int tonic = 0; tonic < 12; ++tonic) {
    tab_is(&p, RL_MOVE_KEY, tonic, "I7", (tonic + 5) % 12, "-2 -3' 4 -4' -4 -5 6");
  }
}

/* First position high up, third position in both octaves: as players write them. One who does not
   bend plays the low octave's notes an octave up, where the harp has them all. */
static void
other_positions(void **const state)
{
  static const int high[]  = {84, 88, 91, 94, 96, 0}; /* C E G Bb C, the top of a C harp */
  static const int third[] = {62, 65, 67, 69, 72, 74, 0};
  static const int upper[] = {74, 77, 79, 81, 84, 86, 0};
  const RlPlayer   plain   = {0, 0, false};
  const RlPhrase   first   = phrase_over("C7", high);
  const RlPhrase   minor   = phrase_over("Dm7", third);
  const RlPhrase   above   = phrase_over("Dm7", upper);
  (void)state;
  tab_is(&first, RL_MOVE_NOT, 0, "I7", 0, "7 8 9 10'' 10");
  tab_is(&above, RL_MOVE_NOT, 2, "Im7", 0, "-4 -5 6 -6 7 -8");
  tab_is(&minor, RL_MOVE_NOT, 2, "Im7", 0, "-1 -2'' -2 -3'' 4 -4");
  tab_of_player_is(plain, &minor, RL_MOVE_NOT, 2, "Im7", 0, "-4 -5 6 -6 7 -8");
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(from_bar_nine_to_bar_ten_it_goes_down_a_tone),
    cmocka_unit_test(with_the_key_it_goes_as_far_as_the_tonic),
    cmocka_unit_test(six_either_way_is_six_down),
    cmocka_unit_test(tones_follow_the_chord),
    cmocka_unit_test(every_chord_goes_its_own_way),
    cmocka_unit_test(cross_harp_is_the_same_everywhere),
    cmocka_unit_test(other_positions),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
