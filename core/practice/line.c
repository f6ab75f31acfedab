/* SPDX-License-Identifier: ISC */
#include "core/practice/line.h"

#include <math.h>
#include <string.h>

/* ---- time: the proleptic Gregorian calendar in UTC, as ISO 8601 writes it ---- */

enum { DAY = 86400, TIME_CHARS = 20 /* 2026-11-30T14:05:12Z */ };

static const int64_t last_second = 253402300799;

/* Days from 1970-01-01, by years that begin in March. */
static int64_t
days_of(const int year, const int month, const int day)
{
  const int64_t y = month > 2 ? year : year - 1;
  const int64_t m = (month + 9) % 12;
  return 365 * y + y / 4 - y / 100 + y / 400 + (153 * m + 2) / 5 + day - 1 - 719468;
}

static int
month_days(const int year, const int month)
{
  return (int)(days_of(month < 12 ? year : year + 1, month % 12 + 1, 1) - days_of(year, month, 1));
}

static void
number_write(const int64_t number, const int digits, RlText *const text)
{
  int64_t high = 10;
  for (int i = 1; i < digits; ++i, high *= 10) {
    rl_text_add(text, number < high ? "0" : "");
  }
  rl_text_add_int(text, number);
}

static void
time_write(const int64_t when, RlText *const text)
{
  const int64_t days = when / DAY, second = when % DAY;
  int           year = 1970 + (int)(days / 366), month = 1;
  while (days_of(year + 1, 1, 1) <= days) {
    ++year;
  }
  while (days_of(year, month, 1) + month_days(year, month) <= days) {
    ++month;
  }
  const struct {
    int64_t     number;
    int         digits;
    const char *after;
  } parts[] = {{year, 4, "-"},
               {month, 2, "-"},
               {days - days_of(year, month, 1) + 1, 2, "T"},
               {second / 3600, 2, ":"},
               {second / 60 % 60, 2, ":"},
               {second % 60, 2, "Z"}};
  for (int i = 0; i < 6; ++i) {
    number_write(parts[i].number, parts[i].digits, text);
    rl_text_add(text, parts[i].after);
  }
}

static bool
time_read(const RlSlice text, int64_t *const when)
{
  static const char form[] = "0000-00-00T00:00:00Z";
  static const int  at[]   = {0, 5, 8, 11, 14, 17};
  int               n[6];
  bool              good = text.length == TIME_CHARS;
  for (int i = 0; good && i < TIME_CHARS; ++i) {
    good = form[i] == '0' ? text.at[i] >= '0' && text.at[i] <= '9' : text.at[i] == form[i];
  }
  for (int i = 0; good && i < 6; ++i) {
    n[i] = rl_slice_number((RlSlice){text.at + at[i], i ? 2 : 4});
  }
  if (!good || n[0] < 1970 || n[1] < 1 || n[1] > 12 || n[2] < 1 || n[2] > month_days(n[0], n[1]) ||
      n[3] > 23 || n[4] > 59 || n[5] > 59) {
    return false;
  }
  *when = days_of(n[0], n[1], n[2]) * DAY + n[3] * 3600 + n[4] * 60 + n[5];
  return *when <= last_second;
}

/* ---- fields ---- */

enum { TENTHS = 10, THOUSANDTHS = 1000, MOST = 99999 };

/* A field: its name, one whole number or two with a slash between, and its range. Numbers with a
   fraction are kept in parts of one. */
typedef struct {
  const char *name;
  size_t      at, second; /* in RlPracticeLine; second 0: there is one number only */
  int         low, high;
  int         parts; /* 0: an int; else a double in so many parts of one */
} Field;

#define AT(member) offsetof(RlPracticeLine, member)

static const Field fields[] = {
  {"chorus", AT(chorus), 0, 0, 9999, 0},
  {"bars", AT(tally.bars), 0, 1, RL_BARS_MAX, 0},
  {"tempo", AT(tempo), 0, 0, 9999, 0},
  {"key", AT(song_key), 0, 0, 11, 0},
  {"harp", AT(harp), 0, 0, 11, 0},
  {"show", AT(show), 0, RL_SHOW_TARGETS, RL_SHOW_ALL, 0},
  {"notes", AT(tally.notes), 0, 0, MOST, 0},
  {"targets", AT(tally.targets_hit), AT(tally.targets), 0, MOST, 0},
  {"strong", AT(tally.strong_chord), AT(tally.strong), 0, MOST, 0},
  {"planned", AT(tally.planned_hit), AT(tally.planned), 0, MOST, 0},
  {"bends", AT(tally.bends), 0, 0, MOST, 0},
  {"cents", AT(tally.bend_cents), 0, -200, 200, TENTHS},
  {"spread", AT(tally.bend_spread), 0, 0, 200, TENTHS},
  {"timed", AT(tally.timed), 0, 0, MOST, 0},
  {"behind_ms", AT(tally.behind_ms), 0, -9999, 9999, TENTHS},
  {"behind_beats", AT(tally.behind_beats), 0, -1, 1, THOUSANDTHS},
};

enum { FIELDS = sizeof(fields) / sizeof(fields[0]) };

/* `-12.5`: the value rounded to parts of one, its zeros at the end left out. */
static void
decimal_write(const double value, const int parts, RlText *const text)
{
  int64_t number = (int64_t)llround(fabs(value) * parts), left = parts;
  rl_text_add(text, value < 0 && number ? "-" : "");
  rl_text_add_int(text, number / parts);
  number %= parts;
  rl_text_add(text, number ? "." : "");
  while (number) {
    left /= 10;
    rl_text_add_int(text, number / left);
    number %= left;
  }
}

static bool
decimal_read(RlSlice text, const int parts, double *const value)
{
  const bool minus   = rl_slice_begins(text, "-");
  text               = rl_slice_after(text, minus);
  const size_t whole = rl_slice_until(text, ".");
  const int    units = rl_slice_number((RlSlice){text.at, whole});
  double       part = 0, size = 1;
  bool         good = units >= 0 && whole + 1 != text.length;
  for (size_t i = whole + 1; good && i < text.length; ++i) {
    size /= 10;
    part += (text.at[i] - '0') * size;
    good = text.at[i] >= '0' && text.at[i] <= '9' && size * parts > 0.5;
  }
  *value = (minus ? -1 : 1) * (units + part);
  return good;
}

static bool
whole_read(const RlSlice text, const Field *const f, const size_t at, RlPracticeLine *const line)
{
  const int n = rl_slice_number(text);
  memcpy((char *)line + at, &n, sizeof(n));
  return n >= f->low && n <= f->high;
}

static bool
field_read(const RlSlice text, const Field *const f, RlPracticeLine *const line)
{
  const size_t slash = rl_slice_until(text, "/");
  if (f->parts) {
    double     value = 0;
    const bool good  = decimal_read(text, f->parts, &value);
    memcpy((char *)line + f->at, &value, sizeof(value));
    return good && value >= f->low && value <= f->high;
  }
  if (!f->second) {
    return whole_read(text, f, f->at, line);
  }
  return slash < text.length && whole_read((RlSlice){text.at, slash}, f, f->at, line) &&
         whole_read(rl_slice_after(text, slash + 1), f, f->second, line);
}

static int
int_at(const RlPracticeLine *const line, const size_t at)
{
  int n;
  memcpy(&n, (const char *)line + at, sizeof(n));
  return n;
}

static void
field_write(const RlPracticeLine *const line, const Field *const f, RlText *const text)
{
  double value;
  rl_text_add(text, " ");
  rl_text_add(text, f->name);
  rl_text_add(text, "=");
  if (f->parts) {
    memcpy(&value, (const char *)line + f->at, sizeof(value));
    decimal_write(fmin(fmax(value, f->low), f->high), f->parts, text);
    return;
  }
  rl_text_add_int(text, int_at(line, f->at));
  if (f->second) {
    rl_text_add(text, "/");
    rl_text_add_int(text, int_at(line, f->second));
  }
}

/* ---- roles: `roles=third:6,pass:2`, those that there are ---- */

static void
roles_write(const RlTally *const t, RlText *const text)
{
  const char *before = " roles=";
  for (int role = 0; role < RL_ROLES; ++role) {
    if (t->role[role]) {
      rl_text_add(text, before);
      rl_text_add(text, rl_role_name((RlRole)role));
      rl_text_add(text, ":");
      rl_text_add_int(text, t->role[role]);
      before = ",";
    }
  }
}

static bool
roles_read(RlSlice text, RlTally *const t)
{
  while (text.length) {
    const size_t  end  = rl_slice_until(text, ",");
    const RlSlice one  = {text.at, end};
    const size_t  name = rl_slice_until(one, ":");
    int           role = 0;
    while (role < RL_ROLES && !rl_slice_is((RlSlice){one.at, name}, rl_role_name((RlRole)role))) {
      ++role;
    }
    const int n = name < end ? rl_slice_number(rl_slice_after(one, name + 1)) : -1;
    if (n < 0 || n > MOST) {
      return false;
    }
    if (role < RL_ROLES) { /* one of a later version counts nowhere */
      t->role[role] = n;
    }
    text = rl_slice_after(text, end < text.length ? end + 1 : end);
  }
  return true;
}

/* ---- the line ---- */

void
rl_practice_line_write(const RlPracticeLine *const line, RlText *const text)
{
  time_write(line->when < 0 ? 0 : line->when > last_second ? last_second : line->when, text);
  for (int i = 0; i < FIELDS; ++i) {
    field_write(line, &fields[i], text);
  }
  roles_write(&line->tally, text);
  rl_text_add(text, " song=");
  rl_text_add(text, line->title);
  rl_text_add(text, "\n");
}

static bool
title_read(const RlSlice text, RlPracticeLine *const line)
{
  RlText to = rl_text_in(line->title, sizeof(line->title));
  rl_text_add_slice(&to, text);
  return text.length < sizeof(line->title) && rl_slice_bad_byte(text) < 0;
}

/* One word of the line, ` name=value`; which fields have been read. */
static bool
word_read(const RlSlice word, RlPracticeLine *const line, unsigned *const read)
{
  const size_t  equals = rl_slice_until(word, "=");
  const RlSlice name   = {word.at, equals},
                value  = rl_slice_after(word, equals < word.length ? equals + 1 : equals);
  int i                = 0;
  while (i < FIELDS && !rl_slice_is(name, fields[i].name)) {
    ++i;
  }
  if (rl_slice_is(name, "roles")) {
    return roles_read(value, &line->tally);
  }
  if (i == FIELDS) {
    return equals > 0 && equals < word.length;
  }
  const bool again = *read >> i & 1U;
  *read |= 1U << i;
  return !again && field_read(value, &fields[i], line);
}

static bool
counts_agree(const RlTally *const t)
{
  return t->targets_hit <= t->targets && t->strong_chord <= t->strong &&
         t->planned_hit <= t->planned && t->bends <= t->notes && t->timed <= t->notes &&
         t->strong <= t->notes;
}

bool
rl_practice_line_read(const RlSlice text, RlPracticeLine *const line)
{
  static const char song[] = " song=";
  RlSlice           rest;
  unsigned          read = 0;
  *line                  = (RlPracticeLine){0};
  if (text.length <= TIME_CHARS || !time_read((RlSlice){text.at, TIME_CHARS}, &line->when)) {
    return false;
  }
  rest = rl_slice_after(text, TIME_CHARS);
  while (rest.length && !rl_slice_begins(rest, song)) {
    const RlSlice word = rl_slice_after(rest, 1);
    const size_t  end  = rl_slice_until(word, " ");
    if (rest.at[0] != ' ' || !word_read((RlSlice){word.at, end}, line, &read)) {
      return false;
    }
    rest = rl_slice_after(word, end);
  }
  return rest.length && read == (1U << FIELDS) - 1 &&
         title_read(rl_slice_after(rest, sizeof(song) - 1), line) && counts_agree(&line->tally);
}

bool
rl_practice_line_next(RlSlice *const text, RlSlice *const line)
{
  const size_t end = rl_slice_until(*text, "\n");
  const bool   any = text->length > 0;
  *line            = (RlSlice){text->at, end};
  *text            = rl_slice_after(*text, end < text->length ? end + 1 : end);
  return any;
}

/* ---- in words ---- */

/* `; 6 of 9 chord tones on strong beats`; nothing of nothing. */
static void
share_say(const char *const before, const int hit, const int of, const char *const after,
          RlText *const text)
{
  if (of) {
    rl_text_add(text, before);
    rl_text_add_int(text, hit);
    rl_text_add(text, " of ");
    rl_text_add_int(text, of);
    rl_text_add(text, after);
  }
}

/* `; bends 12 cents low`, within 3 of them true. */
static void
bends_say(const RlTally *const t, RlText *const text)
{
  const int cents = (int)lround(t->bend_cents);
  if (!t->bends) {
    return;
  }
  rl_text_add(text, "; bends ");
  if (cents >= -3 && cents <= 3) {
    rl_text_add(text, "in tune");
  } else {
    rl_text_add_int(text, cents < 0 ? -cents : cents);
    rl_text_add(text, cents < 0 ? " cents low" : " cents high");
  }
}

/* From eight notes up, as of takes. */
static void
beat_say(const RlTally *const t, RlText *const text)
{
  enum { FEW = 8, ON_IT = 5 /* ms */ };
  const int ms = (int)lround(t->behind_ms);
  if (t->timed < FEW) {
    return;
  }
  rl_text_add(text, "; ");
  if (ms >= -ON_IT && ms <= ON_IT) {
    rl_text_add(text, "on the beat");
  } else {
    rl_text_add_int(text, ms < 0 ? -ms : ms);
    rl_text_add(text, ms < 0 ? " ms before the beat" : " ms behind the beat");
  }
}

/* `chorus 3: landed on 6 of 9 chords`. */
static void
landed_say(const RlPracticeLine *const line, RlText *const text)
{
  const RlTally *const t = &line->tally;
  rl_text_add(text, "chorus ");
  rl_text_add_int(text, line->chorus);
  rl_text_add(text, ": ");
  if (t->targets) {
    share_say("landed on ", t->targets_hit, t->targets, " chords", text);
  } else {
    rl_text_add_int(text, t->notes);
    rl_text_add(text, t->notes == 1 ? " note" : " notes");
  }
}

void
rl_practice_line_brief(const RlPracticeLine *const line, RlText *const text)
{
  landed_say(line, text);
  beat_say(&line->tally, text);
}

void
rl_practice_line_say(const RlPracticeLine *const line, RlText *const text)
{
  const RlTally *const t = &line->tally;
  landed_say(line, text);
  share_say("; ", t->strong_chord, t->strong, " chord tones on strong beats", text);
  share_say("; ", t->planned_hit, t->planned, " planned notes", text);
  bends_say(t, text);
  beat_say(t, text);
}
