/* SPDX-License-Identifier: ISC */
/* Q:; left out of the browser's build, which shows no tempo. */
#include "core/abc/reader.h"

enum {
  TEMPO_BEATS_MAX = 4,
  TEMPO_PARTS     = 1000000, /* of a beat a minute */
  TEMPO_MAX       = 9999
};

/* Skips `"words"` and blanks at the front; false if the quotes are not closed. */
static bool
words_skip(RlSlice *const rest)
{
  *rest = rl_slice_trim(*rest);
  if (!rl_slice_begins(*rest, "\"")) {
    return true;
  }
  const RlSlice after = rl_slice_after(*rest, 1);
  const size_t  n     = rl_slice_until(after, "\"");
  *rest               = rl_slice_trim(rl_slice_after(after, n + 1));
  return n < after.length;
}

/* `1/4 3/8`: a beat made of up to four lengths, in ticks. */
static bool
beat_read(RlSlice text, int32_t *const beat)
{
  *beat = 0;
  text  = rl_slice_trim(text);
  for (int parts = 0; text.length && parts < TEMPO_BEATS_MAX; ++parts) {
    int           num  = 0;
    int           den  = 0;
    const RlSlice word = {text.at, rl_slice_until(text, " \t")};
    if (!rl_abc_fraction(word, &num, &den) || num > 99 || den > 256 || RL_ABC_WHOLE_TICKS % den) {
      return false;
    }
    *beat += RL_ABC_WHOLE_TICKS / den * num;
    text = rl_slice_trim(rl_slice_after(text, word.length));
  }
  return *beat > 0 && !text.length;
}

/* `92`, `92.5`: in millionths, -1 if it is not that. */
static int64_t
decimal(RlSlice text)
{
  const RlSlice whole = {text.at, rl_slice_until(text, ".")};
  RlSlice       part  = rl_slice_after(text, whole.length + 1);
  int64_t       value = rl_slice_number(whole);
  if (value < 0 || part.length > 6 || (whole.length < text.length && rl_slice_number(part) < 0)) {
    return -1;
  }
  for (int i = 0; i < 6; ++i) {
    value = value * 10 + (part.length ? part.at[0] - '0' : 0);
    part  = rl_slice_after(part, 1);
  }
  return value;
}

static bool
tempo_read(RlAbcReader *const r, const RlSlice text)
{
  const size_t  equals = rl_slice_until(text, "=");
  const bool    beats  = equals < text.length;
  const RlSlice beat   = {text.at, beats ? equals : 0};
  const RlSlice number = rl_slice_trim(beats ? rl_slice_after(text, equals + 1) : text);
  r->tempo             = decimal(number);
  return r->tempo > 0 && r->tempo <= (int64_t)TEMPO_MAX * TEMPO_PARTS &&
         (!beats || beat_read(beat, &r->tempo_beat));
}

/* Words before or after the tempo, or alone, are skipped: they do not say how fast. */
bool
rl_abc_tempo_field(RlAbcReader *const r, const RlSlice value)
{
  RlSlice    rest   = value;
  const bool before = words_skip(&rest);
  RlSlice    tempo  = {rest.at, rl_slice_until(rest, "\"")};
  rest              = rl_slice_after(rest, tempo.length);
  const bool behind = words_skip(&rest);
  tempo             = rl_slice_trim(tempo);
  r->tempo          = 0;
  r->tempo_mark     = rl_abc_mark(r, value.at);
  if (before && behind && !rest.length && !tempo.length && value.length) {
    return true;
  }
  return (before && behind && !rest.length && tempo_read(r, tempo)) ||
         rl_abc_fail_with(r, r->tempo_mark, "no such tempo \"", value,
                          "\"; write a note length and how many a minute: 1/4=96");
}

/* Converts the tempo to quarter notes, once M: and L: are known. A bare number counts units. */
bool
rl_abc_tempo_finish(RlAbcReader *const r)
{
  const int32_t beat  = r->tempo_beat ? r->tempo_beat : r->rules.unit;
  const int64_t parts = (r->tempo * beat + RL_TICKS / 2) / RL_TICKS;
  if (r->tempo && (parts < TEMPO_PARTS || parts > (int64_t)TEMPO_MAX * TEMPO_PARTS)) {
    return rl_abc_fail(r, r->tempo_mark,
                       "the tempo is not 1 to 9999 quarter notes a minute; write Q:1/4=96");
  }
  r->phrase->tempo = (double)parts / TEMPO_PARTS;
  return true;
}
