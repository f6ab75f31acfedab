/* SPDX-License-Identifier: ISC */
#include "ui/window/keys.h"

#include <assert.h>

/* Decodes and removes the first character of well-formed UTF-8. */
static int
character_next(RlSlice *const text)
{
  const unsigned char first = (unsigned char)text->at[0];
  const size_t        bytes = first < 0x80 ? 1 : first < 0xE0 ? 2 : first < 0xF0 ? 3 : 4;
  int                 key   = bytes == 1 ? first : first & (0x7F >> bytes);
  for (size_t i = 1; i < bytes; ++i) {
    key = key * 64 + ((unsigned char)text->at[i] & 0x3F);
  }
  *text = rl_slice_after(*text, bytes);
  return key;
}

void
rl_keys_type(const RlWindowCallbacks *const callbacks, RlSlice text)
{
  assert(callbacks && callbacks->input);
  const ptrdiff_t bad = rl_slice_bad_byte(text);
  text.length         = bad < 0 ? text.length : (size_t)bad;
  while (text.length) {
    RlInput input = {.kind = RL_INPUT_KEY, .key = character_next(&text)};
    input.key     = input.key == '\n' ? RL_KEY_ENTER : input.key == '\t' ? ' ' : input.key;
    if (input.key >= ' ') { /* no other control characters */
      callbacks->input(callbacks->data, &input);
    }
  }
}
