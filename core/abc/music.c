/* SPDX-License-Identifier: ISC */
#include "core/abc/reader.h"

#include <string.h>

/* The readers below return the bytes read, 0 on error. */

static size_t
fail(RlAbcReader *const r, const RlSlice rest, const char *const reason)
{
  return (size_t)rl_abc_fail(r, rl_abc_mark(r, rest.at), reason);
}

/* A backslash at the end of a line. Lines are continued without it too. */
static size_t
line_goes_on(RlAbcReader *const r, const RlSlice rest)
{
  return rest.length == 1 ? 1 : fail(r, rest, "\\ stands at the end of a line, or not at all");
}

/* Signs that the standard reserves, beams, and line ends of older books: nothing to hear. */
static size_t
nothing(RlAbcReader *const r, const RlSlice rest)
{
  (void)r;
  (void)rest;
  return 1;
}

/* `y`, perhaps with a width. */
static size_t
space(RlAbcReader *const r, const RlSlice rest)
{
  RlSlice after = rl_slice_after(rest, 1);
  (void)r;
  rl_abc_digits(&after);
  return rest.length - after.length;
}

/* ---- bar lines ---- */

/* `[1`, `[K:D]`, `[|`, `[df]`. */
static size_t
bracket(RlAbcReader *const r, const RlSlice rest)
{
  const RlSlice after = rl_slice_after(rest, 1);
  const char    c     = after.length ? after.at[0] : ' ';
  if (c == '|') {
    return rl_abc_bar_line(r, rest);
  }
  if (c >= '0' && c <= '9') {
    const size_t n = rl_abc_ending(r, after);
    return n ? n + 1 : 0;
  }
  if (rl_abc_is_field(after)) {
    const size_t n = rl_slice_until(after, "]");
    if (n == after.length) {
      return fail(r, rest, "this field is not closed in its line; write [K:D]");
    }
    return rl_abc_field(r, (RlSlice){after.at, n}) ? n + 2 : 0;
  }
  return rl_abc_stack(r, rest);
}

static size_t
bars_rest(RlAbcReader *const r, const RlSlice rest)
{
  RlSlice    after  = rl_slice_after(rest, 1);
  const bool number = after.length && after.at[0] >= '0' && after.at[0] <= '9';
  const int  bars   = number ? rl_abc_digits(&after) : 1;
  return rl_abc_bars_rest(r, rest.at, bars) ? rest.length - after.length : 0;
}

/* ---- ties, slurs, tuplets ---- */

static size_t
tie(RlAbcReader *const r, const RlSlice rest)
{
  if (!r->last.count || r->tie) {
    rl_abc_left(r, RL_ABC_TIES, rest.at);
  }
  r->tie = r->last.count;
  return 1;
}

static size_t
slur_open(RlAbcReader *const r, const RlSlice rest)
{
  if (r->slur) {
    ++r->slurs;
    rl_abc_left(r, RL_ABC_SLURS, rest.at);
    return 1;
  }
  r->slur      = true;
  r->slur_from = r->tie ? r->first : r->phrase->notes;
  return 1;
}

static size_t
slur_close(RlAbcReader *const r, const RlSlice rest)
{
  RlPhrase *const p = r->phrase;
  if (r->slurs) {
    --r->slurs;
    return 1;
  }
  if (!r->slur || r->onset <= r->slur_from) {
    rl_abc_left(r, RL_ABC_SLURS, rest.at);
  }
  for (int i = r->slur_from; r->slur && i < r->onset; ++i) {
    p->note[i].articulation |= RL_ARTICULATION_SLUR;
  }
  r->slur = false;
  return 1;
}

/* `:4` behind a tuplet's number; 0 if it is left out. False if the number is out of range. */
static bool
tuplet_part(RlSlice *const rest, int *const number)
{
  *number = 0;
  if (!rl_slice_begins(*rest, ":")) {
    return true;
  }
  *rest = rl_slice_after(*rest, 1);
  if (!rest->length || rest->at[0] < '0' || rest->at[0] > '9') {
    return true;
  }
  *number = rl_abc_digits(rest);
  return *number > 0 && *number < 1000;
}

/* The q of `p notes in the time of q` where it is left out: ABC 2.1, section 4.13, which means 6/8,
   9/8 and 12/8 by compound. */
static int
tuplet_time(const RlAbcReader *const r, const int p)
{
  static const int8_t time[10] = {0, 0, 3, 2, 3, 0, 2, 0, 3, 0};
  const int           beats    = r->rules.meter_beats;
  const bool          compound = beats == 6 || beats == 9 || beats == 12;
  const int           by_meter = compound && r->rules.meter_unit == 8 ? 3 : 2;
  return p > 9 ? 0 : time[p] ? time[p] : by_meter;
}

/* `(3`, `(3:2`, `(3:2:4`. */
static size_t
tuplet(RlAbcReader *const r, const RlSlice rest)
{
  RlSlice   after = rl_slice_after(rest, 1);
  const int p     = rl_abc_digits(&after);
  int       q     = 0;
  int       notes = 0;
  if (r->tuplet_left || r->rhythm.num) {
    return fail(r, rest,
                "a group begins inside another, or after > or <; write them one after the "
                "other");
  }
  const bool parts = tuplet_part(&after, &q) && tuplet_part(&after, &notes);
  q                = q || p < 2 ? q : tuplet_time(r, p);
  if (!parts || p < 2 || p > 999 || !q) {
    return fail(r, rest,
                "no such group of notes; write (3abc, 2 to 9, or with the time it takes and "
                "how many notes: (3:2:2a2b");
  }
  r->tuplet_p    = p;
  r->tuplet_q    = q;
  r->tuplet_left = notes ? notes : p;
  r->tuplet_mark = rl_abc_mark(r, rest.at);
  return rest.length - after.length;
}

static size_t
parenthesis(RlAbcReader *const r, const RlSlice rest)
{
  const bool digit = rest.length > 1 && rest.at[1] >= '0' && rest.at[1] <= '9';
  return digit ? tuplet(r, rest) : slur_open(r, rest);
}

/* `>` gives the first note half of the second, `>>` three quarters, `>>>` seven eighths. */
static size_t
broken(RlAbcReader *const r, const RlSlice rest)
{
  size_t n = 0;
  while (n < rest.length && rest.at[n] == rest.at[0]) {
    ++n;
  }
  if (n > 3) {
    return fail(r, rest, "more than three > or <; write the lengths: a15/8 b/8");
  }
  const int64_t den   = (int64_t)1 << n;
  const int64_t first = rest.at[0] == '>' ? 2 * den - 1 : 1;
  return rl_abc_break(r, rl_abc_mark(r, rest.at), (RlAbcLength){first, den}) ? n : 0;
}

/* ---- signs before a note ---- */

/* `!slide!`, `+fall+`; any other is left out. A lone `!` once ended a line. */
static size_t
decoration(RlAbcReader *const r, const RlSlice rest)
{
  const char    stops[] = {rest.at[0], ' ', '\t', '|', '\0'};
  const RlSlice after   = rl_slice_after(rest, 1);
  const RlSlice name    = {after.at, rl_slice_until(after, stops)};
  if (name.length == after.length || after.at[name.length] != rest.at[0]) {
    return rest.at[0] == '!'
             ? 1
             : fail(r, rest, "no + follows that ends this decoration; write !slide!");
  }
  if (rl_slice_is(name, "slide")) {
    r->articulation |= RL_ARTICULATION_SCOOP;
  } else if (rl_slice_is(name, "fall")) {
    r->articulation |= RL_ARTICULATION_FALL;
  } else {
    rl_abc_left_decoration(r, name);
  }
  return name.length + 2;
}

/* `~`, `T`, `.`; before a bar line the dot is a part of it. */
static size_t
sign(RlAbcReader *const r, const RlSlice rest)
{
  if (!rl_slice_begins(rest, ".|")) {
    rl_abc_left_decoration(r, (RlSlice){rest.at, 1});
  }
  return 1;
}

/* `{gf}`. */
static size_t
graces(RlAbcReader *const r, const RlSlice rest)
{
  const size_t n = rl_slice_until(rest, "}");
  if (n == rest.length) {
    return fail(r, rest, "these grace notes are not closed in their line; write {gf}");
  }
  for (size_t i = 1; i < n; ++i) {
    if (strchr("ABCDEFGabcdefg", rest.at[i])) {
      rl_abc_left(r, RL_ABC_GRACES, rest.at + i);
    }
  }
  return n + 1;
}

/* A chord by letters, its bass perhaps small. */
static bool
chord_read(const RlSlice name, RlChord *const chord)
{
  char         capital[16];
  const size_t slash = rl_slice_until(name, "/") + 1;
  if (slash < name.length && name.length < sizeof(capital) && name.at[slash] >= 'a' &&
      name.at[slash] <= 'g') {
    memcpy(capital, name.at, name.length);
    capital[slash] = (char)(capital[slash] - 'a' + 'A');
    return chord_read((RlSlice){capital, name.length}, chord);
  }
  return rl_chord_read(name, chord) == RL_CHORD_OK && chord->root.letter &&
         (!chord->has_bass || chord->bass.letter);
}

/* `"D7"`, `"^bend"`. */
static size_t
quoted(RlAbcReader *const r, const RlSlice rest)
{
  const RlSlice after = rl_slice_after(rest, 1);
  const RlSlice text  = {after.at, rl_slice_until(after, "\"")};
  RlChord       chord;
  if (text.length == after.length) {
    return fail(r, rest, "these quotes are not closed in their line; write \"G7\"");
  }
  if (rl_slice_is(text, "^bend")) {
    r->articulation |= RL_ARTICULATION_BEND;
  } else if (rl_slice_is(text, "^fall")) {
    r->articulation |= RL_ARTICULATION_FALL;
  } else if (chord_read(rl_slice_trim(text), &chord)) {
    if (r->has_chord) {
      rl_abc_left(r, RL_ABC_CHORDS, rest.at);
    }
    r->chord      = chord;
    r->has_chord  = true;
    r->chord_mark = rl_abc_mark(r, rest.at);
  } else {
    const bool letter = text.length && text.at[0] >= 'A' && text.at[0] <= 'G';
    rl_abc_left(r, letter ? RL_ABC_CHORDS : RL_ABC_TEXTS, rest.at);
  }
  return text.length + 2;
}

/* ---- all items ---- */

static const struct {
  const char *begin;                      /* any of these bytes */
  size_t (*read)(RlAbcReader *, RlSlice); /* or: */
  const char *refused;
} items[] = {
  {" \t\r`#*;?@$", nothing, NULL},
  {"ABCDEFGabcdefg^_=", rl_abc_note, NULL},
  {"zx", rl_abc_rest, NULL},
  {"ZX", bars_rest, NULL},
  {"|:", rl_abc_bar_line, NULL},
  {"[", bracket, NULL},
  {"(", parenthesis, NULL},
  {")", slur_close, NULL},
  {"-", tie, NULL},
  {"<>", broken, NULL},
  {"\"", quoted, NULL},
  {"!+", decoration, NULL},
  {"\\", line_goes_on, NULL},
  {"{", graces, NULL},
  {".~HIJKLMNOPQRSTUVWhijklmnopqrstuvw", sign, NULL},
  {"y", space, NULL},
  {"&", NULL, "a phrase has one voice; write what stands after & as a tune of its own"},
  {"/0123456789,'", NULL, "this belongs right after a note; delete the space, or write the note"},
  {"]", NULL, "no [ is open here; write it before the first note, or leave ] out"},
  {"}", NULL, "no { is open here; write it before the first grace note, or leave } out"},
};

size_t
rl_abc_item(RlAbcReader *const r, const RlSlice rest)
{
  for (size_t i = 0; i < sizeof(items) / sizeof(items[0]); ++i) {
    if (strchr(items[i].begin, rest.at[0])) {
      return items[i].read ? items[i].read(r, rest) : fail(r, rest, items[i].refused);
    }
  }
  return (size_t)rl_abc_fail_with(r, rl_abc_mark(r, rest.at), "\"", rl_abc_character(rest),
                                  "\" means nothing in music; leave it out");
}

bool
rl_abc_music(RlAbcReader *const r, RlSlice line)
{
  while (line.length && !r->jump.at && !r->done) {
    const size_t n = rl_abc_item(r, line);
    if (!n) {
      return false;
    }
    line = rl_slice_after(line, n);
  }
  return true;
}

bool
rl_abc_music_end(RlAbcReader *const r)
{
  const char *const end = r->text.at + r->text.length;
  r->counted            = NULL;
  if (r->tie) {
    rl_abc_left(r, RL_ABC_TIES, end);
  }
  if (r->slur) {
    rl_abc_left(r, RL_ABC_SLURS, end);
  }
  if (r->has_chord) {
    rl_abc_left(r, RL_ABC_CHORDS, end);
  }
  if (r->articulation) {
    rl_abc_left(r, RL_ABC_ORNAMENTS, end);
  }
  return rl_abc_bar_close(r, true);
}
