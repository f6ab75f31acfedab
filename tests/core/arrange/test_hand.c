/* SPDX-License-Identifier: ISC */
/* The tab that the project's authors wrote down for twenty phrases before there was a solver
   (hand_tab.txt, no tab of it changed since), and what the solver makes of them: each moved so that
   it lies over the chords of a blues in G, on a Richter harp in C. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "core/abc/abc.h"
#include "core/arrange/tab.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { PHRASES = 20, TONIC = 7 };

static RlPhrase       phrase;
static RlNote         notes[RL_PHRASE_NOTES_MAX];
static RlTab          tab[RL_PHRASE_NOTES_MAX];
static RlTabWorkspace room;
static RlHarmony      over[RL_PHRASE_CHORDS_MAX];

static FILE *
open_data(const char *const name)
{
  char              path[8192];
  const char *const top = getenv("RL_TEST_DATA");
  snprintf(path, sizeof(path), "%s/%s", top ? top : ".", name);
  FILE *const file = fopen(path, "r");
  if (!file) {
    print_error("%s cannot be read\n", path);
  }
  assert_non_null(file);
  return file;
}

static void
phrase_read(const char *const name)
{
  static char text[RL_ABC_MAX];
  char        path[1100];
  RlAbcError  error;
  snprintf(path, sizeof(path), "presets/phrases/%s", name);
  FILE *const  file = open_data(path);
  const size_t size = fread(text, 1, sizeof(text), file);
  fclose(file);
  RlAbcBook     book = rl_abc_book((RlSlice){text, size});
  const RlSlice tune = rl_abc_next(&book);
  assert_true(rl_abc_read(tune, &phrase, &error));
}

/* Its own chords, as far from their key as they are, in G. */
static void
chords_in_g(void)
{
  const RlKey key = rl_key_named(TONIC, phrase.key.minor);
  const int   by  = TONIC - rl_spelling_class(phrase.key.tonic);
  for (int c = 0; c < phrase.chords; ++c) {
    RlChord          chord = phrase.chord[c].chord;
    const RlSpelling root  = {chord.root.step, chord.root.alter};
    const RlSpelling there =
      rl_key_named(rl_pitch_class(rl_spelling_class(root) + by), false).tonic;
    chord.root = (RlWritten){true, there.letter, there.alter};
    over[c]    = rl_harmony_of(chord, key);
  }
}

static void
tab_write(RlText *const text)
{
  for (int i = 0; i < phrase.notes; ++i) {
    rl_text_add(text, !i ? "" : notes[i].at == notes[i - 1].at ? "+" : " ");
    rl_tab_write(tab[i].hole, (RlTechnique)tab[i].technique, text);
  }
}

static void
the_solver_plays_as_the_player_does(void **state)
{
  static const RlPlayer player = {3, 3, false};
  const RlHarp          harp   = rl_harp_make((RlHarpChoice){0, 0, RL_RICHTER});
  FILE *const           hand   = open_data("tests/core/arrange/hand_tab.txt");
  char                  line[1024], buffer[1024];
  int                   count = 0;
  (void)state;
  while (fgets(line, sizeof(line), hand)) {
    char *const colon = strchr(line, ':');
    RlText      text  = rl_text_in(buffer, sizeof(buffer));
    if (line[0] == '#' || !colon) {
      continue;
    }
    *colon                              = '\0';
    colon[strcspn(colon + 1, "\n") + 1] = '\0';
    phrase_read(line);
    chords_in_g();
    rl_phrase_move(&phrase, RL_MOVE_CHORD, rl_key_named(TONIC, phrase.key.minor), over, notes);
    rl_tab_fit(notes, phrase.notes, over, &harp, player, &room, tab);
    tab_write(&text);
    assert_string_equal(buffer, colon + 2);
    ++count;
  }
  fclose(hand);
  assert_int_equal(count, PHRASES);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(the_solver_plays_as_the_player_does),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
