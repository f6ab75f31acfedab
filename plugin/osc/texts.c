/* SPDX-License-Identifier: ISC */
/* Long texts in parts, and what is said of a chorus. */
#include "plugin/osc/post.h"

#include <string.h>

enum {
  ELEMENT_HEAD = 4, /* its size */
  PART_HEAD =
    RL_OSC_BUNDLE_HEAD + ELEMENT_HEAD + 20 /* the longest address */ + 8 /* ,iis */ + 4 + 4,
  PART_TEXT = RL_OSC_BUNDLE_MAX - PART_HEAD - 4 /* bytes of text, its NULs in the other 4 */
};

/* As much of `text` as fits into one part: whole characters of UTF-8. */
static RlSlice
part_of(const RlSlice text)
{
  size_t n = text.length < PART_TEXT ? text.length : PART_TEXT;
  while (n < text.length && n > 0 && ((unsigned char)text.at[n] & 0xC0U) == 0x80U) {
    --n;
  }
  return (RlSlice){text.at, n ? n : text.length};
}

static int
parts_of(RlSlice text)
{
  int parts = 0;
  do {
    text = rl_slice_after(text, part_of(text).length);
    ++parts;
  } while (text.length);
  return parts;
}

static lo_message
text_part(const int part, const int parts, const RlSlice text)
{
  char   buffer[PART_TEXT + 1];
  RlText words = rl_text_in(buffer, sizeof(buffer));
  rl_text_add_slice(&words, text);
  RL_OSC_MESSAGE("iis", part, parts, words.to);
}

bool
rl_osc_write_text(const int64_t when, const char *const path, const RlSlice text,
                  const RlOscOut out, void *const data)
{
  RlOscPost p     = rl_osc_post(when, out, data);
  RlSlice   rest  = text;
  const int parts = parts_of(text);
  for (int i = 1; i <= parts; ++i) {
    const RlSlice part = part_of(rest);
    rl_osc_post_add(&p, path, text_part(i, parts, part));
    rl_osc_post_flush(&p);
    rest = rl_slice_after(rest, part.length);
  }
  return p.whole;
}

static lo_message
chorus_message(const RlPracticeLine *const l)
{
  char   words[RL_PRACTICE_LINE_SIZE];
  RlText text = rl_text_in(words, sizeof(words));
  rl_practice_line_say(l, &text);
  RL_OSC_MESSAGE("iiiiiiis", l->chorus, l->tally.targets_hit, l->tally.targets,
                 l->tally.strong_chord, l->tally.strong, l->tally.planned_hit, l->tally.planned,
                 words);
}

bool
rl_osc_write_chorus(const int64_t when, const RlPracticeLine *const chorus, const RlOscOut out,
                    void *const data)
{
  RlOscPost p = rl_osc_post(when, out, data);
  rl_osc_post_add(&p, "/reedlamp/chorus", chorus_message(chorus));
  rl_osc_post_flush(&p);
  return p.whole;
}
