/* SPDX-License-Identifier: ISC */
#include "ui/paper/labels.h"

#include "ui/model/music_signs.h"

#include <assert.h>

void
rl_label_count(const int count, const char *const one, const char *const more, RlText *const text)
{
  assert(count >= 0);
  rl_text_add_int(text, count);
  rl_text_add(text, count == 1 ? one : more);
}

void
rl_label_key(const RlKey key, RlText *const text)
{
  char   ascii[RL_NAME_SIZE];
  RlText name = rl_text_in(ascii, sizeof(ascii));
  rl_key_write(key, &name);
  rl_music_signs(ascii, text);
}

void
rl_label_chord(const RlSheet *const sheet, const RlChord chord, const bool degree,
               RlText *const text)
{
  const RlHarmony h = rl_harmony_of(chord, sheet->key);
  char            ascii[RL_CHORD_SIZE];
  RlText          name = rl_text_in(ascii, sizeof(ascii));
  if (degree) {
    rl_harmony_degree(&h, &name);
  } else {
    rl_harmony_name(&h, &name);
  }
  rl_music_signs(ascii, text);
}

void
rl_label_harp(const RlSheet *const sheet, RlText *const text)
{
  static const char *const ordinals[] = {"1st", "2nd", "3rd", "4th",  "5th",  "6th",
                                         "7th", "8th", "9th", "10th", "11th", "12th"};
  const int position = rl_harp_position(sheet->harp.key, rl_spelling_class(sheet->key.tonic));
  assert(position >= 1 && position <= 12);
  rl_text_add(text, sheet->harp.range < 0 ? "low " : sheet->harp.range > 0 ? "high " : "");
  rl_label_key(rl_key_named(sheet->harp.key, false), text);
  rl_text_add(text, " harp, ");
  rl_text_add(text, ordinals[position - 1]);
  rl_text_add(text, " position");
}
