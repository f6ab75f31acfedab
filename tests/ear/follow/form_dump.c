/* SPDX-License-Identifier: ISC */
/* Prints the form of a chart as one JSON object, for the generators: form_dump CHART [KEY].
   {"key":7,"minor":false,"lead":[9,10],"bars":[{"beats":4,"unit":4,"chords":[{"beat":0,"root":7,"bass":7,"tones":[0,4,7,10]}]}]}
   N.C. has no tones. `lead` are the bars (from 1) that lead in, 0 without chords. */
#include "core/chart/chart.h"

#include <stdio.h>
#include <stdlib.h>

static void
chord_print(const RlForm *const form, const RlFormChord c, const RlKey key)
{
  const RlHarmony h = rl_harmony_of(c.chord, key);
  (void)form;
  printf("{\"beat\":%d,\"root\":%d,\"bass\":%d,\"tones\":[", c.beat,
         h.sounding ? rl_harmony_root(&h) : 0,
         h.sounding ? rl_spelling_class(h.has_bass ? h.bass : h.root) : 0);
  RlDegree  tone[RL_DEGREES];
  const int tones = rl_quality_tones(h.quality, tone);
  for (int i = 0; i < tones; ++i) {
    printf("%s%d", i ? "," : "", rl_degree_semitones(tone[i]));
  }
  printf("]}");
}

int
main(const int count, char **const arguments)
{
  static RlForm form;
  static char   text[RL_CHART_MAX];
  RlChartError  error;
  FILE *const   file = count > 1 ? fopen(arguments[1], "rb") : NULL;
  if (!file) {
    return 2;
  }
  const size_t length = fread(text, 1, sizeof(text), file);
  fclose(file);
  if (!rl_chart_read((RlSlice){text, length}, &form, &error)) {
    fprintf(stderr, "line %d, bar %d: %s\n", error.line, error.bar, error.reason);
    return 1;
  }
  const RlKey key = count > 2 ? rl_key_named(atoi(arguments[2]), form.key.minor) : form.key;
  printf("{\"key\":%d,\"minor\":%s,\"tempo\":%g,\"lead\":[", rl_spelling_class(key.tonic),
         form.key.minor ? "true" : "false", form.tempo);
  for (int i = 0; i < form.lead_in; ++i) {
    printf("%s%d", i ? "," : "", form.lead_in_from ? form.lead_in_from + i : 0);
  }
  printf("],\"bars\":[");
  for (int i = 0; i < form.bars; ++i) {
    const RlBar *const bar = &form.bar[i];
    printf("%s{\"beats\":%d,\"unit\":%d,\"chords\":[", i ? "," : "", bar->beats, bar->unit);
    for (int k = 0; k < bar->chords; ++k) {
      printf("%s", k ? "," : "");
      chord_print(&form, form.chord[bar->first_chord + k], key);
    }
    printf("]}");
  }
  puts("]}");
  return 0;
}
