/* SPDX-License-Identifier: ISC */
/* Harps. Source: core/harmony/HARPS.md (layouts, registers, which reed bends, techniques); layouts
   written out from it as note names by hand. Facts about real harps beyond it are marked. */
#include "core/harmony/harp.h"

#include <stdarg.h>
#include <stddef.h>
#include <stdio.h>
#include <string.h>

#include <setjmp.h>

#include <cmocka.h>

#define COUNT(array) (sizeof(array) / sizeof((array)[0]))

enum { C_HARP = 0, G_HARP = 7, F_SHARP_HARP = 6, MIDI_C4 = 60 };

/* The names of HARPS.md in the order of RlTechnique. */
static const char *const techniques[RL_TECHNIQUES] = {
  "blow", "draw", "blow1", "blow2", "blow3", "draw1", "draw2", "draw3", "overblow", "overdraw"};

/* The MIDI number of a name like `Bb4`, C4 being 60 (the usual numbering, from memory). */
static int
midi_of(const char *const name)
{
  static const char keyboard[] = "C.D.EF.G.A.B";
  const size_t      length     = strlen(name);
  int               note       = (int)(strchr(keyboard, name[0]) - keyboard);
  note += name[1] == '#' ? 1 : name[1] == 'b' ? -1 : 0;
  return MIDI_C4 + note + 12 * (name[length - 1] - '4');
}

/* Reads ten names parted by spaces. */
static void
ten_notes(const char *names, int note[RL_HOLES])
{
  for (int hole = 0; hole < RL_HOLES; ++hole) {
    char name[8];
    int  bytes = 0;
    assert_int_equal(sscanf(names, "%7s%n", name, &bytes), 1);
    note[hole] = midi_of(name);
    names += bytes;
  }
}

/* C harps in the standard register. */
static const struct {
  RlTuning    tuning;
  const char *name, *blow, *draw;
} layouts[RL_TUNINGS] = {
  {RL_RICHTER, "Richter", "C4 E4 G4 C5 E5 G5 C6 E6 G6 C7", "D4 G4 B4 D5 F5 A5 B5 D6 F6 A6"},
  {RL_RAISED_THIRD_BLOW, "raised third blow", "C4 E4 A4 C5 E5 G5 C6 E6 G6 C7",
   "D4 G4 B4 D5 F5 A5 B5 D6 F6 A6"},
  {RL_COUNTRY, "country", "C4 E4 G4 C5 E5 G5 C6 E6 G6 C7", "D4 G4 B4 D5 F#5 A5 B5 D6 F6 A6"},
  {RL_NATURAL_MINOR, "natural minor", "C4 Eb4 G4 C5 Eb5 G5 C6 Eb6 G6 C7",
   "D4 G4 Bb4 D5 F5 A5 Bb5 D6 F6 A6"},
  {RL_HARMONIC_MINOR, "harmonic minor", "C4 Eb4 G4 C5 Eb5 G5 C6 Eb6 G6 C7",
   "D4 G4 B4 D5 F5 Ab5 B5 D6 F6 Ab6"},
  {RL_SOLO, "solo", "C4 E4 G4 C5 C5 E5 G5 C6 C6 E6", "D4 F4 A4 B4 D5 F5 A5 B5 D6 F6"},
};

static RlHarp
harp_of(const int key, const int range, const RlTuning tuning)
{
  return rl_harp_make((RlHarpChoice){(uint8_t)key, (int8_t)range, tuning});
}

static void
tunings_stand_in_the_order_of_the_port(void **state) /* plugin/PORTS.md, HARPS.md */
{
  (void)state;
  for (int t = 0; t < RL_TUNINGS; ++t) {
    assert_int_equal(layouts[t].tuning, t);
    assert_string_equal(rl_tuning_name(layouts[t].tuning), layouts[t].name);
  }
}

static void
every_tuning_has_its_own_blow_and_draw_reeds(void **state) /* HARPS.md */
{
  (void)state;
  for (int t = 0; t < RL_TUNINGS; ++t) {
    const RlHarp harp = harp_of(C_HARP, 0, layouts[t].tuning);
    int          blow[RL_HOLES];
    int          draw[RL_HOLES];
    ten_notes(layouts[t].blow, blow);
    ten_notes(layouts[t].draw, draw);
    for (int hole = 0; hole < RL_HOLES; ++hole) {
      if (harp.note[hole][RL_BLOW] != blow[hole] || harp.note[hole][RL_DRAW] != draw[hole]) {
        fail_msg("%s, hole %d: blow %d, draw %d; expected %d and %d", layouts[t].name, hole + 1,
                 harp.note[hole][RL_BLOW], harp.note[hole][RL_DRAW], blow[hole], draw[hole]);
      }
    }
  }
}

/* Every note of the Richter C harp, by hand; `-` where there is none. The holes and depths that
   bend are those of every printed bending chart (from memory). */
static void
every_note_of_a_richter_c_harp_is_the_known_one(void **state)
{
  (void)state;
  static const char *const table[RL_HOLES][RL_TECHNIQUES] = {
    /* blow, draw, blow1, blow2, blow3, draw1, draw2, draw3, overblow, overdraw */
    {"C4", "D4", "-", "-", "-", "C#4", "-", "-", "Eb4", "-"},
    {"E4", "G4", "-", "-", "-", "F#4", "F4", "-", "Ab4", "-"},
    {"G4", "B4", "-", "-", "-", "Bb4", "A4", "Ab4", "C5", "-"},
    {"C5", "D5", "-", "-", "-", "C#5", "-", "-", "Eb5", "-"},
    {"E5", "F5", "-", "-", "-", "-", "-", "-", "F#5", "-"},
    {"G5", "A5", "-", "-", "-", "Ab5", "-", "-", "Bb5", "-"},
    {"C6", "B5", "-", "-", "-", "-", "-", "-", "-", "C#6"},
    {"E6", "D6", "Eb6", "-", "-", "-", "-", "-", "-", "F6"},
    {"G6", "F6", "F#6", "-", "-", "-", "-", "-", "-", "Ab6"},
    {"C7", "A6", "B6", "Bb6", "-", "-", "-", "-", "-", "C#7"},
  };
  const RlHarp harp = harp_of(C_HARP, 0, RL_RICHTER);
  for (int hole = 0; hole < RL_HOLES; ++hole) {
    for (int technique = 0; technique < RL_TECHNIQUES; ++technique) {
      const char *const name     = table[hole][technique];
      const int         expected = name[0] == '-' ? 0 : midi_of(name);
      if (harp.note[hole][technique] != expected) {
        fail_msg("hole %d %s: %d, expected %d (%s)", hole + 1, techniques[technique],
                 harp.note[hole][technique], expected, name);
      }
    }
  }
}

/* What the other tunings change beside the reed itself, by hand from the rule of HARPS.md. */
static void
other_tunings_bend_where_their_reeds_allow(void **state)
{
  (void)state;
  static const struct {
    RlTuning    tuning;
    int         hole;
    RlTechnique technique;
    const char *note; /* `-`: none */
  } cases[] = {
    {RL_RAISED_THIRD_BLOW, 3, RL_DRAW_1, "Bb4"}, /* A and B: one semitone left between */
    {RL_RAISED_THIRD_BLOW, 3, RL_DRAW_2, "-"},
    {RL_RAISED_THIRD_BLOW, 3, RL_DRAW_3, "-"},
    {RL_RAISED_THIRD_BLOW, 3, RL_OVERBLOW, "C5"},
    {RL_COUNTRY, 5, RL_DRAW_1, "F5"}, /* E and F#: now it bends */
    {RL_COUNTRY, 5, RL_DRAW_2, "-"},
    {RL_COUNTRY, 5, RL_OVERBLOW, "G5"},
    {RL_NATURAL_MINOR, 2, RL_DRAW_3, "E4"},  /* Eb and G */
    {RL_NATURAL_MINOR, 3, RL_DRAW_2, "Ab4"}, /* G and Bb */
    {RL_NATURAL_MINOR, 3, RL_DRAW_3, "-"},
    {RL_NATURAL_MINOR, 5, RL_DRAW_1, "E5"}, /* Eb and F */
    {RL_NATURAL_MINOR, 7, RL_BLOW_1, "B5"}, /* C and Bb */
    {RL_NATURAL_MINOR, 7, RL_BLOW_2, "-"},
    {RL_NATURAL_MINOR, 7, RL_OVERDRAW, "C#6"},
    {RL_NATURAL_MINOR, 8, RL_BLOW_1, "-"}, /* Eb and D: nothing between */
    {RL_NATURAL_MINOR, 8, RL_OVERDRAW, "E6"},
    {RL_HARMONIC_MINOR, 3, RL_DRAW_3, "Ab4"}, /* G and B */
    {RL_HARMONIC_MINOR, 6, RL_DRAW_1, "-"},   /* G and Ab: nothing between */
    {RL_HARMONIC_MINOR, 6, RL_OVERBLOW, "A5"},
    {RL_HARMONIC_MINOR, 7, RL_BLOW_1, "-"},   /* C and B */
    {RL_HARMONIC_MINOR, 10, RL_BLOW_3, "A6"}, /* C and Ab */
    {RL_SOLO, 1, RL_DRAW_1, "C#4"},           /* C and D */
    {RL_SOLO, 2, RL_DRAW_1, "-"},             /* E and F */
    {RL_SOLO, 3, RL_DRAW_1, "Ab4"},           /* G and A */
    {RL_SOLO, 3, RL_DRAW_2, "-"},
    {RL_SOLO, 4, RL_BLOW_1, "-"}, /* C and B: the blow reed is higher */
    {RL_SOLO, 4, RL_OVERDRAW, "C#5"},
    {RL_SOLO, 4, RL_OVERBLOW, "-"},
    {RL_SOLO, 5, RL_DRAW_1, "C#5"},    /* C and D again */
    {RL_SOLO, 10, RL_OVERBLOW, "F#6"}, /* E and F */
  };
  for (size_t i = 0; i < COUNT(cases); ++i) {
    const RlHarp harp     = harp_of(C_HARP, 0, cases[i].tuning);
    const int    expected = cases[i].note[0] == '-' ? 0 : midi_of(cases[i].note);
    if (harp.note[cases[i].hole - 1][cases[i].technique] != expected) {
      fail_msg("%s, hole %d %s: %d, expected %d (%s)", rl_tuning_name(cases[i].tuning),
               cases[i].hole, techniques[cases[i].technique],
               harp.note[cases[i].hole - 1][cases[i].technique], expected, cases[i].note);
    }
  }
}

/* HARPS.md: G3 on a G harp up to F#4 on an F# harp. */
static void
hole_1_blow_is_the_harps_key_in_its_register(void **state)
{
  (void)state;
  static const char *const keys[12] = {"C4",  "Db4", "D4",  "Eb4", "E4",  "F4",
                                       "F#4", "G3",  "Ab3", "A3",  "Bb3", "B3"};
  for (int tuning = 0; tuning < RL_TUNINGS; ++tuning) {
    for (int key = 0; key < 12; ++key) {
      for (int range = -1; range <= 1; ++range) {
        assert_int_equal(harp_of(key, range, (RlTuning)tuning).note[0][RL_BLOW],
                         midi_of(keys[key]) + 12 * range);
      }
    }
  }
  assert_int_equal(harp_of(G_HARP, 0, RL_RICHTER).note[0][RL_BLOW], 55);
  assert_int_equal(harp_of(F_SHARP_HARP, 0, RL_RICHTER).note[0][RL_BLOW], 66);
}

static void
every_key_and_register_is_the_c_harp_moved(void **state)
{
  (void)state;
  for (int tuning = 0; tuning < RL_TUNINGS; ++tuning) {
    const RlHarp c = harp_of(C_HARP, 0, (RlTuning)tuning);
    for (int key = 0; key < 12; ++key) {
      for (int range = -1; range <= 1; ++range) {
        const RlHarp harp = harp_of(key, range, (RlTuning)tuning);
        const int    up   = 12 * range + (key < 7 ? key : key - 12);
        for (int i = 0; i < RL_HOLES * RL_TECHNIQUES; ++i) {
          const int there = c.note[i / RL_TECHNIQUES][i % RL_TECHNIQUES];
          const int here  = harp.note[i / RL_TECHNIQUES][i % RL_TECHNIQUES];
          assert_int_equal(here, there ? there + up : 0);
        }
      }
    }
  }
}

static void
every_note_of_every_harp_is_a_midi_note(void **state)
{
  (void)state;
  for (int i = 0; i < RL_TUNINGS * 12 * 3; ++i) {
    const RlHarp harp = harp_of(i / 3 % 12, i % 3 - 1, (RlTuning)(i / 36));
    for (int n = 0; n < RL_HOLES * RL_TECHNIQUES; ++n) {
      assert_in_range(harp.note[n / RL_TECHNIQUES][n % RL_TECHNIQUES], 0, 127);
    }
  }
}

/* Two reeds in one chamber bend only between their two notes: Bahnson, Antaki, Beery, J. Acoust.
   Soc. Am. 103(4), 1998, 2134-2144. HARPS.md, for each hole of each harp: all semitones strictly
   between the two reeds, named by how far they lie below the higher one, and nothing else. */
static void
a_bend_lies_between_the_two_reeds_and_all_between_are_there(void **state)
{
  (void)state;
  for (int i = 0; i < RL_TUNINGS * 12 * 3 * RL_HOLES; ++i) {
    const RlHarp         harp = harp_of(i / 10 % 12, i / 120 % 3 - 1, (RlTuning)(i / 360));
    const uint8_t *const note = harp.note[i % 10];
    const int            blow = note[RL_BLOW];
    const int            draw = note[RL_DRAW];
    for (int depth = 1; depth <= 3; ++depth) {
      const int draw_bend = note[RL_DRAW_1 + depth - 1];
      const int blow_bend = note[RL_BLOW_1 + depth - 1];
      assert_int_equal(draw_bend, draw - depth > blow ? draw - depth : 0);
      assert_int_equal(blow_bend, blow - depth > draw ? blow - depth : 0);
    }
    assert_true(draw - blow <= 4 && blow - draw <= 4); /* so three depths hold them all */
  }
}

/* Overblows and overdraws lie outside the two notes, above the higher: the same paper. The semitone
   is common practice, no source. */
static void
an_overblow_or_overdraw_lies_a_semitone_above_the_higher_reed(void **state)
{
  (void)state;
  for (int i = 0; i < RL_TUNINGS * 12 * 3 * RL_HOLES; ++i) {
    const RlHarp         harp = harp_of(i / 10 % 12, i / 120 % 3 - 1, (RlTuning)(i / 360));
    const uint8_t *const note = harp.note[i % 10];
    const bool           draw_is_higher = note[RL_DRAW] > note[RL_BLOW];
    assert_int_equal(note[RL_OVERBLOW], draw_is_higher ? note[RL_DRAW] + 1 : 0);
    assert_int_equal(note[RL_OVERDRAW], draw_is_higher ? 0 : note[RL_BLOW] + 1);
  }
}

/* Nineteen: ten blow and ten draw, G4 both blow 3 and draw 2. Public encyclopaedias, from memory.
 */
static void
a_c_harp_has_nineteen_different_natural_notes(void **state)
{
  (void)state;
  const RlHarp     harp      = harp_of(C_HARP, 0, RL_RICHTER);
  bool             seen[128] = {false};
  int              different = 0;
  static const int white[12] = {1, 0, 1, 0, 1, 1, 0, 1, 0, 1, 0, 1};
  for (int hole = 0; hole < RL_HOLES; ++hole) {
    for (int draws = 0; draws < 2; ++draws) {
      const int note = harp.note[hole][draws ? RL_DRAW : RL_BLOW];
      different += !seen[note];
      seen[note] = true;
      assert_true(white[note % 12]);
    }
  }
  assert_int_equal(different, 19);
  assert_int_equal(harp.note[2][RL_BLOW], harp.note[1][RL_DRAW]);
}

/* With every bend and overblow a Richter harp has each semitone of its three octaves: the known
   claim of players who overblow (common practice, no source). */
static void
with_overblows_a_richter_harp_is_chromatic(void **state)
{
  (void)state;
  const RlHarp harp      = harp_of(C_HARP, 0, RL_RICHTER);
  bool         seen[128] = {false};
  for (int i = 0; i < RL_HOLES * RL_TECHNIQUES; ++i) {
    seen[harp.note[i / RL_TECHNIQUES][i % RL_TECHNIQUES]] = true;
  }
  for (int note = midi_of("C4"); note <= midi_of("C7"); ++note) {
    assert_true(seen[note]);
  }
}

/* The positions every player learns first (common practice, no source). */
static void
positions_are_counted_in_fifths(void **state)
{
  (void)state;
  static const struct {
    const char *harp, *song;
    int         position;
  } cases[] = {
    {"C", "C", 1},   {"C", "G", 2},    {"C", "D", 3},   {"C", "A", 4},  {"C", "E", 5},
    {"C", "B", 6},   {"C", "F#", 7},   {"C", "Db", 8},  {"C", "Ab", 9}, {"C", "Eb", 10},
    {"C", "Bb", 11}, {"C", "F", 12},   {"Ab", "Eb", 2}, {"A", "E", 2},  {"G", "G", 1},
    {"F", "C", 2},   {"Bb", "F", 2},   {"D", "A", 2},   {"D", "E", 3},  {"F#", "Db", 2},
    {"G", "A", 3},   {"Bb", "Eb", 12},
  };
  for (size_t i = 0; i < COUNT(cases); ++i) {
    char harp[4];
    char song[4];
    snprintf(harp, sizeof(harp), "%s4", cases[i].harp);
    snprintf(song, sizeof(song), "%s4", cases[i].song);
    const int position = rl_harp_position(midi_of(harp) % 12, midi_of(song) % 12);
    if (position != cases[i].position) {
      fail_msg("%s on a %s harp: position %d, expected %d", cases[i].song, cases[i].harp, position,
               cases[i].position);
    }
  }
}

static void
a_position_says_how_many_fifths_up_the_song_is(void **state) /* HARPS.md, Positions */
{
  (void)state;
  for (int harp = 0; harp < 12; ++harp) {
    for (int song = 0; song < 12; ++song) {
      int note     = harp;
      int position = 1;
      for (; note != song; note = (note + 7) % 12) {
        ++position;
      }
      assert_int_equal(rl_harp_position(harp, song), position);
    }
  }
}

/* The harp a player takes, common practice: draw 2 is the tonic of second position, draw 1 and
   draw 4 are that of third. */
static void
the_tonic_lies_where_the_position_puts_it(void **state)
{
  (void)state;
  const RlHarp a_flat = harp_of(8, 0, RL_RICHTER);
  const RlHarp a      = harp_of(9, 0, RL_RICHTER);
  const RlHarp c      = harp_of(C_HARP, 0, RL_RICHTER);
  assert_int_equal(a_flat.note[1][RL_DRAW], midi_of("Eb4")); /* E flat in second position */
  assert_int_equal(a.note[1][RL_DRAW], midi_of("E4"));       /* E on an A harp */
  assert_int_equal(c.note[0][RL_DRAW], midi_of("D4"));       /* D minor, third position on C */
  assert_int_equal(c.note[3][RL_DRAW], midi_of("D5"));
  assert_int_equal(c.note[7][RL_DRAW], midi_of("D6"));
}

static void
techniques_go_by_their_names(void **state) /* HARPS.md */
{
  (void)state;
  for (int t = 0; t < RL_TECHNIQUES; ++t) {
    const char *const word  = techniques[t];
    const char        last  = word[strlen(word) - 1];
    const bool        draws = strstr(word, "draw") != NULL;
    assert_string_equal(rl_technique_name((RlTechnique)t), word);
    assert_int_equal(rl_technique_bend((RlTechnique)t),
                     last >= '1' && last <= '3' ? last - '0' : 0);
    assert_int_equal(rl_technique_draws((RlTechnique)t), draws);
  }
}

/* plugin/PORTS.md, ports 20 to 22. */
static void
a_player_bends_as_deep_as_the_settings_say_and_no_deeper(void **state)
{
  (void)state;
  for (int draw = 0; draw <= 3; ++draw) {
    for (int blow = 0; blow <= 3; ++blow) {
      for (int over = 0; over < 2; ++over) {
        const RlPlayer player = {(uint8_t)draw, (uint8_t)blow, over};
        assert_true(rl_player_can(player, RL_BLOW));
        assert_true(rl_player_can(player, RL_DRAW));
        assert_int_equal(rl_player_can(player, RL_DRAW_1), draw >= 1);
        assert_int_equal(rl_player_can(player, RL_DRAW_2), draw >= 2);
        assert_int_equal(rl_player_can(player, RL_DRAW_3), draw == 3);
        assert_int_equal(rl_player_can(player, RL_BLOW_1), blow >= 1);
        assert_int_equal(rl_player_can(player, RL_BLOW_2), blow >= 2);
        assert_int_equal(rl_player_can(player, RL_BLOW_3), blow == 3);
        assert_int_equal(rl_player_can(player, RL_OVERBLOW), over);
        assert_int_equal(rl_player_can(player, RL_OVERDRAW), over);
      }
    }
  }
}

/* What core/harmony/harp.h promises: minus for draw, a dash for each semitone bent, o for an
 * overblow. */
static void
tab_shows_hole_breath_and_bend(void **state)
{
  (void)state;
  static const struct {
    int         hole;
    RlTechnique technique;
    const char *tab;
  } cases[] = {
    {4, RL_BLOW, "4"},         {4, RL_DRAW, "-4"},     {10, RL_BLOW, "10"},
    {10, RL_DRAW, "-10"},      {8, RL_BLOW_1, "8'"},   {10, RL_BLOW_2, "10''"},
    {10, RL_BLOW_3, "10'''"},  {4, RL_DRAW_1, "-4'"},  {2, RL_DRAW_2, "-2''"},
    {3, RL_DRAW_3, "-3'''"},   {6, RL_OVERBLOW, "6o"}, {7, RL_OVERDRAW, "-7o"},
    {10, RL_OVERDRAW, "-10o"},
  };
  for (size_t i = 0; i < COUNT(cases); ++i) {
    char   buffer[16];
    RlText text = rl_text_in(buffer, sizeof(buffer));
    rl_tab_write(cases[i].hole, cases[i].technique, &text);
    assert_string_equal(buffer, cases[i].tab);
  }
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(tunings_stand_in_the_order_of_the_port),
    cmocka_unit_test(every_tuning_has_its_own_blow_and_draw_reeds),
    cmocka_unit_test(every_note_of_a_richter_c_harp_is_the_known_one),
    cmocka_unit_test(other_tunings_bend_where_their_reeds_allow),
    cmocka_unit_test(hole_1_blow_is_the_harps_key_in_its_register),
    cmocka_unit_test(every_key_and_register_is_the_c_harp_moved),
    cmocka_unit_test(every_note_of_every_harp_is_a_midi_note),
    cmocka_unit_test(a_bend_lies_between_the_two_reeds_and_all_between_are_there),
    cmocka_unit_test(an_overblow_or_overdraw_lies_a_semitone_above_the_higher_reed),
    cmocka_unit_test(a_c_harp_has_nineteen_different_natural_notes),
    cmocka_unit_test(with_overblows_a_richter_harp_is_chromatic),
    cmocka_unit_test(positions_are_counted_in_fifths),
    cmocka_unit_test(a_position_says_how_many_fifths_up_the_song_is),
    cmocka_unit_test(the_tonic_lies_where_the_position_puts_it),
    cmocka_unit_test(techniques_go_by_their_names),
    cmocka_unit_test(a_player_bends_as_deep_as_the_settings_say_and_no_deeper),
    cmocka_unit_test(tab_shows_hole_breath_and_bend),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
