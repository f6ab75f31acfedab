/* SPDX-License-Identifier: ISC */
#include "core/phrase/title.h"

#include <stdbool.h>
#include <string.h>

static const char blank[] = " ", replaced[] = ",%\\\t\r\n";

static bool
is_blank(const RlSlice name)
{
  for (size_t i = 0; i < name.length; ++i) {
    if (!strchr(blank, name.at[i]) && !strchr(replaced, name.at[i])) {
      return false;
    }
  }
  return true;
}

void
rl_title_write(const RlSlice name, const char *const otherwise, RlText *const text)
{
  if (rl_slice_bad_byte(name) >= 0 || is_blank(name)) {
    rl_text_add(text, otherwise);
    return;
  }
  for (size_t i = 0, from = 0; i <= name.length; ++i) { /* in parts: none ends within a character */
    if (i == name.length || strchr(replaced, name.at[i])) {
      rl_text_add_slice(text, (RlSlice){name.at + from, i - from});
      rl_text_add(text, i < name.length ? blank : "");
      from = i + 1;
    }
  }
}
