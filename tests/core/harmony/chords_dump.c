/* SPDX-License-Identifier: ISC */
/* Prints every quality of core, and the other ways to write some of them, on all
   twelve roots: one JSON object a line, for tonal/check.mjs to compare.

     {"written":"m7","name":"m7","root":"Bb","degrees":["R","b3","5","b7"],"classes":[10,1,5,8]}

   `written` is what rl_chord_read() was given after the root, `classes` are pitch classes, C = 0,
   in the order of the tones. */
#include "core/harmony/chord.h"

#include <stdio.h>
#include <stdlib.h>

static void
print_chord(const char *const root, const char *const written)
{
  char    symbol[RL_CHORD_SIZE];
  RlText  text  = rl_text_in(symbol, sizeof(symbol));
  RlChord chord = {0};
  rl_text_add(&text, root);
  rl_text_add(&text, written);
  if (rl_chord_read(rl_slice(symbol), &chord) != RL_CHORD_OK) {
    fprintf(stderr, "core does not read %s\n", symbol);
    exit(1);
  }
  const RlHarmony harmony = rl_harmony_of(chord, rl_key_named(0, false));
  char            name[RL_QUALITY_NAME_SIZE];
  RlText          named = rl_text_in(name, sizeof(name));
  RlDegree        tone[RL_DEGREES];
  const int       tones = rl_quality_tones(harmony.quality, tone);
  rl_quality_name(harmony.quality, &named);
  printf("{\"written\":\"%s\",\"name\":\"%s\",\"root\":\"%s\",\"degrees\":[", written, name, root);
  for (int i = 0; i < tones; ++i) {
    printf("%s\"%s\"", i ? "," : "", rl_degree_name(tone[i]));
  }
  printf("],\"classes\":[");
  for (int i = 0; i < tones; ++i) {
    printf("%s%d", i ? "," : "",
           rl_pitch_class(rl_harmony_root(&harmony) + rl_degree_semitones(tone[i])));
  }
  printf("]}\n");
}

static void
print_roots(const char *const written)
{
  for (int tonic = 0; tonic < 12; ++tonic) {
    char   root[RL_NAME_SIZE];
    RlText text = rl_text_in(root, sizeof(root));
    rl_spelling_write(rl_key_named(tonic, false).tonic, &text);
    print_chord(root, written);
  }
}

int
main(void)
{
  static const char *const others[] = {
    "-",         "M7",       "\303\270", "o",       "o7",        "+",         "\303\2707",
    "\302\2607", "\302\260", "maj",      "M",       "ma7",       "\316\2247", "\342\226\2637",
    "\316\224",  "min",      "mi7",      "7sus",    "sus",       "9sus",      "69",
    "7+",        "+7",       "aug7",     "7(b9)",   "7(#9,b13)", "7-9",       "7+9",
    "7-5",       "m7(b5)",   "min7b5",   "m(maj7)", "-maj7",     "(add9)",    "add2",
    "2",         "m69"};
  for (int i = 0; i < rl_qualities(); ++i) {
    char   name[RL_QUALITY_NAME_SIZE];
    RlText named = rl_text_in(name, sizeof(name));
    rl_quality_name(rl_quality(i), &named);
    print_roots(name);
  }
  for (size_t i = 0; i < sizeof(others) / sizeof(others[0]); ++i) {
    print_roots(others[i]);
  }
  return 0;
}
