/* SPDX-License-Identifier: ISC */
#include "core/ear/phrase/over.h"

static uint16_t
classes_above(const int tonic, const RlClassSet set)
{
  uint16_t classes = 0;
  for (int i = 0; i < 12; ++i) {
    if (rl_class_set_has(set, i)) {
      classes = (uint16_t)(classes | 1U << (tonic + i) % 12);
    }
  }
  return classes;
}

uint16_t
rl_lift_over(const RlForm *const form, const RlPlace *const place, const RlKey key)
{
  const RlHarmony h     = rl_form_harmony(form, place, key);
  const uint16_t  blues = classes_above(rl_spelling_class(key.tonic), rl_scale_blues);
  const uint16_t  chord =
    h.sounding ? classes_above(rl_harmony_root(&h), h.scale | rl_quality_classes(h.quality)) : 0;
  return blues | chord;
}

uint16_t
rl_lift_over_key(const RlKey key)
{
  return classes_above(rl_spelling_class(key.tonic),
                       rl_scale_blues | rl_quality_scale(rl_quality_find(rl_slice("7"))));
}

/* Is the word in the text, in any case? ASCII. */
static bool
says(const RlSlice text, const char *const word)
{
  for (RlSlice rest = text; rest.length; rest = rl_slice_after(rest, 1)) {
    size_t i = 0;
    while (word[i] && i < rest.length && (rest.at[i] | 0x20) == word[i]) {
      ++i;
    }
    if (!word[i]) {
      return true;
    }
  }
  return false;
}

RlLiftFeel
rl_lift_feel(const RlForm *const form)
{
  const RlSlice text = rl_form_text(form, form->feel);
  return says(text, "swing") || says(text, "shuffle")   ? RL_LIFT_SWUNG
         : says(text, "straight") || says(text, "even") ? RL_LIFT_STRAIGHT
                                                        : RL_LIFT_FEEL_UNKNOWN;
}
