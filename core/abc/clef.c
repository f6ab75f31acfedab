/* SPDX-License-Identifier: ISC */
/* Clefs, octave= and transpose=: what K: and V: say of where the notes sound (ABC 2.1, 4.6). */
#include "core/abc/reader.h"

enum { TRANSPOSE_MAX = 48, OCTAVE_MAX = 4 };

/* Sets a number within `most` of 0. */
static RlAbcSpecifier
number_read(RlSlice text, const int most, int *const number)
{
  const bool below = rl_slice_begins(text, "-");
  text             = rl_slice_after(text, below || rl_slice_begins(text, "+"));
  const int value  = rl_abc_digits(&text);
  if (value < 0 || value > most || text.length) {
    return RL_ABC_SPECIFIER_WRONG;
  }
  *number = below ? -value : value;
  return RL_ABC_SPECIFIER_READ;
}

/* `[clef=]<name>[<line>][+8|-8]`; an 8 at the clef moves what is played by an octave. */
static bool
clef_read(const RlSlice word, int *const octave)
{
  static const char *const names[] = {"treble", "alto", "tenor", "bass", "perc", "none"};
  RlSlice rest = rl_slice_after(word, rl_slice_begins(word, "clef=") ? sizeof("clef=") - 1 : 0);
  size_t  i    = 0;
  while (i < sizeof(names) / sizeof(names[0]) && !rl_slice_begins(rest, names[i])) {
    ++i;
  }
  if (i == sizeof(names) / sizeof(names[0])) {
    return false;
  }
  rest            = rl_slice_after(rest, rl_slice(names[i]).length);
  rest            = rl_slice_after(rest, rest.length && rest.at[0] >= '1' && rest.at[0] <= '5');
  const int moved = rl_slice_is(rest, "+8") - rl_slice_is(rest, "-8");
  *octave         = !rest.length || moved ? moved : *octave;
  return !rest.length || moved;
}

RlAbcSpecifier
rl_abc_specifier(RlAbcReader *const r, const RlSlice word)
{
  RlAbcRules *const rules = &r->rules;
  const RlSlice     value = rl_slice_after(word, rl_slice_until(word, "=") + 1);
  if (rl_slice_begins(word, "transpose=")) {
    return number_read(value, TRANSPOSE_MAX, &rules->transpose);
  }
  if (rl_slice_begins(word, "octave=")) {
    return number_read(value, OCTAVE_MAX, &rules->octave);
  }
  return rl_slice_begins(word, "middle=") || rl_slice_begins(word, "stafflines=") ||
             clef_read(word, &rules->clef_octave)
           ? RL_ABC_SPECIFIER_READ
           : RL_ABC_SPECIFIER_NONE;
}
