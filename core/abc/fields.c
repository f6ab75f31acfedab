/* SPDX-License-Identifier: ISC */
#include "core/abc/reader.h"

#include <string.h>

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
    rl_abc_left(r, RL_ABC_LINES, value.at);
    return true;
  }
  RlText text = {to + used, RL_PHRASE_FIELDS_SIZE - used, 0};
  rl_text_add_slice(&text, line);
  rl_text_add(&text, "\n");
  return true;
}

/* The first title; `\%` is a percent sign there, not a comment. */
static bool
title_field(RlAbcReader *const r, RlSlice value)
{
  RlText text = rl_text_in(r->phrase->title, sizeof(r->phrase->title));
  while (value.length) {
    const RlSlice rest = rl_slice_after(value, rl_slice_begins(value, "\\%") ? 1 : 0);
    const RlSlice one  = rl_abc_character(rest);
    if (text.used + one.length >= text.size) {
      rl_abc_left(r, RL_ABC_TITLES, value.at);
      break;
    }
    rl_text_add_slice(&text, one);
    value = rl_slice_after(rest, one.length);
  }
  text.to[rl_slice_trim((RlSlice){text.to, text.used}).length] = '\0'; /* it begins with no blank */
  return true;
}

/* ---- M: L: ---- */

/* `6/8`, all of it; false if it is not two numbers. */
bool
rl_abc_fraction(RlSlice text, int *const num, int *const den)
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
  const bool common = rl_slice_is(value, "C");
  int        beats  = common ? 4 : 2;
  int        unit   = beats;
  if (rl_slice_is(value, "none")) {
    beats = unit = 0;
  } else if (!common && !rl_slice_is(value, "C|") &&
             (!rl_abc_fraction(value, &beats, &unit) || beats > 32 || unit > 32 ||
              !power_of_two(unit) || rl_slice_until(value, "/") == value.length)) {
    return fail_at(r, value, "no such meter \"",
                   "\"; write 1 to 32 over 1, 2, 4, 8, 16 or 32: 12/8; or C, C| or none");
  }
  r->rules.meter_beats = (uint8_t)beats;
  r->rules.meter_unit  = (uint8_t)unit;
  r->rules.bar         = unit ? RL_ABC_WHOLE_TICKS / unit * beats : 0;
  r->grid              = r->bar_from;
  r->phase             = 0;
  return true;
}

static bool
unit_field(RlAbcReader *const r, const RlSlice value)
{
  int num = 0;
  int den = 0;
  if (!rl_abc_fraction(value, &num, &den) || num != 1 || den > 256 || !power_of_two(den)) {
    return fail_at(r, value, "no such note length \"", "\"; write 1/1 to 1/256, halved: L:1/8");
  }
  r->rules.unit = RL_ABC_WHOLE_TICKS / den;
  return true;
}

/* ---- the header ---- */

static bool
key_field(RlAbcReader *const r, const RlSlice value)
{
  RlAbcRules *const now  = &r->rules;
  r->phrase->meter_beats = now->meter_beats;
  r->phrase->meter_unit  = now->meter_unit;
  if (!now->unit) { /* the standard: below three quarters a sixteenth */
    now->unit = RL_ABC_WHOLE_TICKS / (now->bar && 4 * now->bar < 3 * RL_ABC_WHOLE_TICKS ? 16 : 8);
  }
  if (!rl_abc_tempo_finish(r) || !rl_abc_key_field(r, value)) {
    return false;
  }
  r->in_body = true;
  r->head    = r->rules;
  rl_abc_section(r, value.at + value.length);
  r->body = r->from;
  if (r->parts[0]) {
    rl_abc_part_next(r);
  }
  return true;
}

static void
voice_word(RlAbcReader *const r, const RlSlice word)
{
  const RlAbcSpecifier found = rl_abc_specifier(r, word);
  if (found == RL_ABC_SPECIFIER_WRONG ||
      (found == RL_ABC_SPECIFIER_NONE && rl_slice_begins(word, "clef="))) {
    rl_abc_left(r, RL_ABC_LINES, word.at);
  }
}

/* What stands behind a voice's name: of its words, those that say where its notes sound. */
static void
voice_words(RlAbcReader *const r, RlSlice rest)
{
  const RlAbcRules  before = r->rules;
  const char *const at     = rest.at;
  for (rest = rl_slice_trim(rest); rest.length; rest = rl_slice_trim(rest)) {
    size_t n = rl_slice_until(rest, " \t\"");
    if (rl_slice_begins(rl_slice_after(rest, n), "\"")) { /* name="Tenor sax" */
      n += 2 + rl_slice_until(rl_slice_after(rest, n + 1), "\"");
    } else {
      voice_word(r, (RlSlice){rest.at, n});
    }
    rest = rl_slice_after(rest, n);
  }
  if (r->in_body) {
    rl_abc_key_settle(r, &before, at);
  }
}

/* One voice is read, by whatever name; a second is one too many. */
static bool
voice_field(RlAbcReader *const r, const RlSlice value)
{
  const RlSlice name = {value.at, rl_slice_until(value, " \t")};
  const bool    same =
    name.length == r->voice.length && r->voice.at && !memcmp(name.at, r->voice.at, name.length);
  if (r->voice.at && !same) {
    return rl_abc_fail(r, rl_abc_mark(r, value.at),
                       "V: a phrase has one voice; write each voice as a tune of its own");
  }
  r->voice = name;
  voice_words(r, rl_slice_after(value, name.length));
  return true;
}

/* Lines without a meaning for a phrase. */
static bool
line_left(RlAbcReader *const r, const RlSlice value)
{
  rl_abc_left(r, RL_ABC_LINES, value.at);
  return true;
}

static bool
words_left(RlAbcReader *const r, const RlSlice value)
{
  rl_abc_left(r, RL_ABC_WORDS, value.at);
  return true;
}

/* ---- in the music ---- */

static bool
meter_inside(RlAbcReader *const r, const RlSlice value)
{
  const RlAbcRules before = r->rules;
  const bool       good   = meter_field(r, value);
  if (!r->now) {
    r->phrase->meter_beats = r->rules.meter_beats;
    r->phrase->meter_unit  = r->rules.meter_unit;
  } else if (before.meter_beats != r->rules.meter_beats ||
             before.meter_unit != r->rules.meter_unit) {
    rl_abc_left(r, RL_ABC_METERS, value.at);
  }
  return good;
}

static bool
tempo_inside(RlAbcReader *const r, const RlSlice value)
{
  if (!r->now) {
    return rl_abc_tempo_field(r, value) && rl_abc_tempo_finish(r);
  }
  rl_abc_left(r, RL_ABC_TEMPOS, value.at);
  return true;
}

static bool
part_inside(RlAbcReader *const r, const RlSlice value)
{
  if (r->parts[0]) {
    rl_abc_part_next(r);
    return true;
  }
  return line_left(r, value);
}

/* ---- all fields ---- */

typedef bool RlAbcFieldReader(RlAbcReader *, RlSlice);

static const struct {
  const char       *names;
  RlAbcFieldReader *above, *inside; /* the music */
} fields[] = {
  {"X", number_field, NULL},
  {"M", meter_field, meter_inside},
  {"L", unit_field, unit_field},
  {"Q", rl_abc_tempo_field, tempo_inside},
  {"K", key_field, rl_abc_key_field},
  {"T", title_field, line_left}, /* the last that comes once; one more is kept */
  {"ABCDFGHNORSZ", keep_field, line_left},
  {"V", voice_field, voice_field},
  {"P", rl_abc_parts_order, part_inside},
  {"Ww", words_left, words_left},
  {"", line_left, line_left},
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
  if (!r->seen && field != FIELD_X) {
    return ": stands before X:, where it holds for a whole book; write it into each tune";
  }
  if (field == FIELD_X && r->in_body) {
    return ": begins another tune; put a blank line before it";
  }
  return field < FIELD_TITLE && !r->in_body && (r->seen & (1U << field))
           ? ": appears twice; keep one of the two"
           : NULL;
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
  if (r->in_body) {
    return fields[field].inside(r, value);
  }
  return (field == FIELD_TITLE && again ? keep_field : fields[field].above)(r, value);
}
