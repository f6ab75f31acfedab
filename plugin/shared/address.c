/* SPDX-License-Identifier: ISC */
#include "plugin/shared/address.h"

RlSlice
rl_address_next(RlSlice *const list)
{
  *list              = rl_slice_trim(*list);
  const RlSlice word = {list->at, rl_slice_until(*list, " \t")};
  *list              = rl_slice_after(*list, word.length);
  return word;
}

bool
rl_address_read(const RlSlice word, RlSlice *const host, uint16_t *const port)
{
  size_t colon = word.length;
  while (colon > 0 && word.at[colon - 1] != ':') {
    --colon;
  }
  const int number = rl_slice_number(rl_slice_after(word, colon));
  if (colon < 2 || number < 1 || number > 65535) {
    return false;
  }
  const bool brackets = word.at[0] == '[' && word.at[colon - 2] == ']' && colon > 3;
  *host               = (RlSlice){word.at + brackets, colon - 1 - 2U * brackets};
  *port               = (uint16_t)number;
  return true;
}
