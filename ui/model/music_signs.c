/* SPDX-License-Identifier: ISC */
#include "ui/model/music_signs.h"

void
rl_music_signs(const char *const name, RlText *const text)
{
  for (const char *at = name; *at; ++at) {
    const char one[] = {*at, '\0'};
    rl_text_add(text, *at == 'b' ? "\xE2\x99\xAD" : *at == '#' ? "\xE2\x99\xAF" : one);
  }
}
