/* SPDX-License-Identifier: ISC */
#include "plugin/protocol/take_edit.h"

static const char *const verbs[RL_TAKE_VERBS] = {
  [RL_TAKE_ADD]    = "add:",
  [RL_TAKE_CHANGE] = "change:",
  [RL_TAKE_DROP]   = "drop:",
  [RL_TAKE_KEEP]   = "keep:",
};

void
rl_take_edit_begin(RlText *const text, const RlTakeVerb verb, const char *const title,
                   const int taken)
{
  rl_text_add(text, verbs[verb]);
  rl_text_add(text, *title ? " " : "");
  rl_text_add(text, title);
  rl_text_add(text, "\ntaken: ");
  rl_text_add_int(text, taken);
  rl_text_add(text, "\n");
}

bool
rl_take_edit_read(const RlSlice text, RlTakeVerb *const verb, RlSlice *const title)
{
  const RlSlice line = {text.at, rl_slice_until(text, "\n")};
  int           v    = 0;
  while (v < RL_TAKE_VERBS && !rl_slice_begins(line, verbs[v])) {
    ++v;
  }
  if (v < RL_TAKE_VERBS) {
    *verb  = (RlTakeVerb)v;
    *title = rl_slice_trim(rl_slice_after(line, rl_slice(verbs[v]).length));
  }
  return v < RL_TAKE_VERBS;
}
