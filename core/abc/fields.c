/* SPDX-License-Identifier: ISC */
#include "core/abc/reader.h"

#include <string.h>

enum {
  TEMPO_BEATS_MAX = 4,
  TEMPO_PARTS     = 1000000, /* of a beat a minute */
  TEMPO_MAX       = 9999
};

bool
rl_abc_is_field(const RlSlice line)
{
  return line.length >= 2 && line.at[1] == ':' &&
         ((line.at[0] >= 'A' && line.at[0] <= 'Z') || (line.at[0] >= 'a' && line.at[0] <= 'z') ||
          line.at[0] == '+');
}

static bool
fail_at(RlAbcReader *const r, const RlSlice value, const char *const before,
        const char *const after)
{
  return rl_abc_fail_with(r, rl_abc_mark(r, value.at), before, value, after);
}

static bool
number_field(RlAbcReader *const r, const RlSlice value)
{
  return rl_slice_number(value) >= 0 ||
         fail_at(r, value, "no such tune number \"", "\"; write up to six digits: X:1");
}

/* A field that only informs: kept as it came. */
static bool
keep_field(RlAbcReader *const r, const RlSlice value)
{
  char *const   to   = r->phrase->fields;
  const size_t  used = strlen(to);
  const RlSlice line = {r->line_at, (size_t)(value.at + value.length - r->line_at)};
  if (used + line.length + 2 > RL_PHRASE_FIELDS_SIZE) {
    return rl_abc_fail(r, rl_abc_mark(r, r->line_at),
                       "the information fields are longer than 511 bytes in all; shorten them");
  }
  RlText text = {to + used, RL_PHRASE_FIELDS_SIZE - used, 0};
  rl_text_add_slice(&text, line);
  rl_text_add(&text, "\n");
  return true;
}

/* The first title; `\%` is a percent sign there, not a comment. */
static bool
title_field(RlAbcReader *const r, const RlSlice value)
{
  RlText text = rl_text_in(r->phrase->title, sizeof(r->phrase->title));
  size_t left = sizeof(r->phrase->title) - 1;
  for (size_t i = 0; i < value.length; ++i) {
    const bool escape = value.at[i] == '\\' && i + 1 < value.length && value.at[i + 1] == '%';
    if (!escape && !left--) {
      return rl_abc_fail(r, rl_abc_mark(r, value.at),
                         "the title is longer than 63 bytes; shorten it");
    }
    r->phrase->title[text.used] = value.at[i];
    text.used += !escape;
  }
  r->phrase->title[text.used] = '\0';
  return true;
}

/* ---- M: L: ---- */

/* `6/8`, all of it; false if it is not two numbers. */
static bool
fraction(RlSlice text, int *const num, int *const den)
{
  *num             = rl_abc_digits(&text);
  const bool slash = rl_slice_begins(text, "/");
  text             = rl_slice_after(text, slash);
  *den             = slash ? rl_abc_digits(&text) : 1;
  return *num > 0 && *den > 0 && !text.length;
}

static bool
power_of_two(const int number)
{
  return number > 0 && !(number & (number - 1));
}

static bool
meter_field(RlAbcReader *const r, const RlSlice value)
{
  RlPhrase *const p      = r->phrase;
  const bool      common = rl_slice_is(value, "C");
  int             beats  = common ? 4 : 2;
  int             unit   = beats;
  if (rl_slice_is(value, "none")) {
    return true;
  }
  const bool sign = common || rl_slice_is(value, "C|");
  if (!sign && (!fraction(value, &beats, &unit) || beats > 32 || unit > 32 || !power_of_two(unit) ||
                rl_slice_until(value, "/") == value.length)) {
    return fail_at(r, value, "no such meter \"",
                   "\"; write 1 to 32 over 1, 2, 4, 8, 16 or 32: 12/8; or C, C| or none");
  }
  p->meter_beats = (uint8_t)beats;
  p->meter_unit  = (uint8_t)unit;
  return true;
}

static bool
unit_field(RlAbcReader *const r, const RlSlice value)
{
  int num = 0;
  int den = 0;
  if (!fraction(value, &num, &den) || num != 1 || den > 256 || !power_of_two(den)) {
    return fail_at(r, value, "no such note length \"", "\"; write 1/1 to 1/256, halved: L:1/8");
  }
  r->unit = RL_ABC_WHOLE_TICKS / den;
  return true;
}

/* ---- Q: ---- */

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
    if (!fraction(word, &num, &den) || num > 99 || den > 256 || RL_ABC_WHOLE_TICKS % den) {
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
static bool
tempo_field(RlAbcReader *const r, const RlSlice value)
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
         fail_at(r, value, "no such tempo \"",
                 "\"; write a note length and how many a minute: 1/4=96");
}

/* Converts the tempo to quarter notes, once M: and L: are known. A bare number counts units. */
static bool
tempo_finish(RlAbcReader *const r)
{
  const int32_t beat  = r->tempo_beat ? r->tempo_beat : r->unit;
  const int64_t parts = (r->tempo * beat + RL_TICKS / 2) / RL_TICKS;
  if (r->tempo && (parts < TEMPO_PARTS || parts > (int64_t)TEMPO_MAX * TEMPO_PARTS)) {
    return rl_abc_fail(r, r->tempo_mark,
                       "the tempo is not 1 to 9999 quarter notes a minute; write Q:1/4=96");
  }
  r->phrase->tempo = (double)parts / TEMPO_PARTS;
  return true;
}

/* ---- the header ---- */

static bool
key_field(RlAbcReader *const r, const RlSlice value)
{
  RlPhrase *const p = r->phrase;
  if (p->meter_unit) {
    r->bar = RL_ABC_WHOLE_TICKS / p->meter_unit * p->meter_beats;
  }
  if (!r->unit) { /* the standard: below three quarters a sixteenth */
    r->unit = RL_ABC_WHOLE_TICKS / (r->bar && 4 * r->bar < 3 * RL_ABC_WHOLE_TICKS ? 16 : 8);
  }
  r->in_body = true;
  return tempo_finish(r) && rl_abc_key_field(r, value);
}

/* What is read, and what is refused with the way out. */
static const struct {
  const char *names;
  bool (*read)(RlAbcReader *, RlSlice); /* or: */
  const char *refused;
} fields[] = {
  {"X", number_field, NULL},
  {"M", meter_field, NULL},
  {"L", unit_field, NULL},
  {"Q", tempo_field, NULL},
  {"K", key_field, NULL},
  {"T", title_field, NULL}, /* the last that comes once; one more is kept */
  {"ABCDFGHNORSZ", keep_field, NULL},
  {"V", NULL, ": a phrase has one voice; write each voice as a tune of its own"},
  {"P", NULL, ": parts are not read; write the bars in the order they are played"},
  {"Ww", NULL, ": words to sing are not read; leave them out, or write them as N:"},
  {"+", NULL, ": continues the field before it; write that in one line"},
  {"mU", NULL, ": abbreviations are not read; write out what they stand for"},
  {"I", NULL, ": instructions to programs are not read; leave the line out"},
  {"", NULL, ": is not read; leave the line out, or write it as N:"},
};

enum { FIELD_X, FIELD_TITLE = 5, FIELDS = sizeof(fields) / sizeof(fields[0]) };

static int
field_find(const char name)
{
  int i = 0;
  while (i < FIELDS - 1 && !strchr(fields[i].names, name)) {
    ++i;
  }
  return i;
}

/* Why the field cannot stand here; NULL if it can. */
static const char *
out_of_place(const RlAbcReader *const r, const int field)
{
  if (!fields[field].read) {
    return fields[field].refused;
  }
  if (!r->seen && field != FIELD_X) {
    return ": stands before X:, where it holds for a whole book; write it into each tune";
  }
  if (field == FIELD_X && r->in_body) {
    return ": begins another tune; put a blank line before it";
  }
  if (field < FIELD_TITLE && (r->seen & (1U << field))) {
    return r->in_body ? ": changes in the middle of the phrase; make two phrases of it"
                      : ": appears twice; keep one of the two";
  }
  return r->in_body ? ": stands after K:, in the music; write it above K:" : NULL;
}

bool
rl_abc_field(RlAbcReader *const r, const RlSlice line)
{
  const RlAbcMark mark = rl_abc_mark(r, line.at);
  if (!rl_abc_is_field(line)) {
    return rl_abc_fail(r, mark,
                       r->seen
                         ? "this line is not a field, and stands above K:, the last line before "
                           "the music; write K: above it"
                         : "a tune begins with X:1; put the line after K:, or begin it with %");
  }
  const int         field = field_find(line.at[0]);
  const char *const fault = out_of_place(r, field);
  if (fault) {
    return rl_abc_fail_with(r, mark, "", (RlSlice){line.at, 1}, fault);
  }
  const bool again = r->seen & (1U << field);
  r->seen |= 1U << field;
  const RlSlice value = rl_slice_trim(rl_slice_after(line, 2));
  return (field == FIELD_TITLE && again ? keep_field : fields[field].read)(r, value);
}
