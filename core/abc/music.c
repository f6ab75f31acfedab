/* SPDX-License-Identifier: ISC */
#include "core/abc/reader.h"

#include <string.h>

/* The readers below return the bytes read, 0 on error. */

static size_t
fail(RlAbcReader *const r, const RlSlice rest, const char *const reason)
{
  return (size_t)rl_abc_fail(r, rl_abc_mark(r, rest.at), reason);
}

static size_t
blank(RlAbcReader *const r, const RlSlice rest)
{
  (void)r;
  (void)rest;
  return 1;
}

/* A backslash at the end of a line. Lines are continued without it too. */
static size_t
line_goes_on(RlAbcReader *const r, const RlSlice rest)
{
  return rest.length == 1 ? 1 : fail(r, rest, "\\ stands at the end of a line, or not at all");
}

/* ---- bar lines ---- */

static const char repeats[] = "repeats and endings are not read; write the bars out, each once";

static size_t
bar_line(RlAbcReader *const r, const RlSlice rest)
{
  const size_t  n     = rl_slice_begins(rest, "||") || rl_slice_begins(rest, "|]") ? 2 : 1;
  const RlSlice after = rl_slice_after(rest, n);
  const char    c     = after.length ? after.at[0] : ' ';
  if (c == ':' || (c >= '0' && c <= '9')) {
    return fail(r, rest, repeats);
  }
  return rl_abc_bar_close(r) ? n : 0;
}

static size_t
bracket(RlAbcReader *const r, const RlSlice rest)
{
  const RlSlice after = rl_slice_after(rest, 1);
  const char    c     = after.length ? after.at[0] : ' ';
  if (c == '|' && rl_slice_begins(after, "|]")) {
    return fail(r, rest, "[|] and what it hides are not read; write |");
  }
  if (c == '|') {
    const size_t n = bar_line(r, after);
    return n ? n + 1 : 0;
  }
  if (c >= '0' && c <= '9') {
    return fail(r, rest, repeats);
  }
  if (rl_abc_is_field(after)) {
    return fail(r, rest,
                "fields inside the music are not read; write them above K:, or two phrases");
  }
  return rl_abc_stack(r, rest);
}

static size_t
bars_rest(RlAbcReader *const r, const RlSlice rest)
{
  RlSlice    after  = rl_slice_after(rest, 1);
  const bool number = after.length && after.at[0] >= '0' && after.at[0] <= '9';
  const int  bars   = number ? rl_abc_digits(&after) : 1;
  return rl_abc_bars_rest(r, rl_abc_mark(r, rest.at), bars) ? rest.length - after.length : 0;
}

/* ---- ties, slurs, tuplets ---- */

static size_t
tie(RlAbcReader *const r, const RlSlice rest)
{
  if (r->end != rest.at || !r->last.count || r->tie) {
    return fail(r, rest, "a tie stands right after its note: a-|a");
  }
  r->tie      = true;
  r->tie_mark = rl_abc_mark(r, rest.at);
  return 1;
}

static size_t
slur_open(RlAbcReader *const r, const RlSlice rest)
{
  if (r->slur) {
    return fail(r, rest,
                "a slur in a slur cannot be kept; write one over all of them, or one after "
                "the other: (ab)(cd)");
  }
  r->slur      = true;
  r->slur_from = r->tie ? r->first : r->phrase->notes;
  r->slur_mark = rl_abc_mark(r, rest.at);
  return 1;
}

static size_t
slur_close(RlAbcReader *const r, const RlSlice rest)
{
  RlPhrase *const p = r->phrase;
  if (!r->slur) {
    return fail(r, rest, "no slur is open here; write ( before its first note, or leave ) out");
  }
  if (r->onset <= r->slur_from) {
    return fail(r, rest, "a slur joins at least two notes: (ab); for a held note write a tie: a-a");
  }
  for (int i = r->slur_from; i < r->onset; ++i) {
    p->note[i].articulation |= RL_ARTICULATION_SLUR;
  }
  r->slur = false;
  r->end  = r->end == rest.at ? rest.at + 1 : r->end;
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
  const int           beats    = r->phrase->meter_beats;
  const bool          compound = beats == 6 || beats == 9 || beats == 12;
  const int           by_meter = compound && r->phrase->meter_unit == 8 ? 3 : 2;
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
                "a group begins inside another, or behind > or <; write them one after the "
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

static size_t
articulation_add(RlAbcReader *const r, const RlSlice rest, const RlArticulation articulation,
                 const size_t n)
{
  if (r->articulation & articulation) {
    return fail(r, rest, "this stands twice before one note; leave one of them out");
  }
  r->articulation_mark = r->articulation ? r->articulation_mark : rl_abc_mark(r, rest.at);
  r->articulation |= articulation;
  return n;
}

static size_t
decoration(RlAbcReader *const r, const RlSlice rest)
{
  static const char slide[] = "!slide!";
  if (rl_slice_begins(rest, slide)) {
    return articulation_add(r, rest, RL_ARTICULATION_SCOOP, sizeof(slide) - 1);
  }
  const RlSlice after = rl_slice_after(rest, 1);
  const size_t  n     = rl_slice_until(after, "! \t");
  const bool    ends  = n < after.length && after.at[n] == '!';
  return (size_t)rl_abc_fail_with(
    r, rl_abc_mark(r, rest.at), "\"", (RlSlice){rest.at, n + 1 + ends},
    "\" is not read; of the decorations only !slide! is: leave it out");
}

static bool
chord_read(RlAbcReader *const r, const RlSlice rest, const RlSlice name)
{
  static const char *const way_out[] = {
    [RL_CHORD_OK]      = "\"; a phrase's chords are letters: G7",
    [RL_CHORD_NO_ROOT] = "\"; write a letter A to G, or for a bend \"^bend\"",
    [RL_CHORD_NO_QUALITY] =
      ("\"; after the root comes nothing or a quality of the chart reference: m, "
       "7, m7, maj7, dim7, sus4 …"),
    [RL_CHORD_NO_BASS] = "\"; after / comes a bass, a letter A to G",
  };
  const RlAbcMark     mark   = rl_abc_mark(r, rest.at);
  const RlChordStatus status = rl_chord_read(name, &r->chord);
  const bool          letter = r->chord.root.letter && (!r->chord.has_bass || r->chord.bass.letter);
  if (status != RL_CHORD_OK || !letter) {
    return rl_abc_fail_with(r, mark, "no such chord \"", name, way_out[status]);
  }
  if (r->has_chord) {
    return rl_abc_fail(r, mark,
                       "two chord symbols before one note; put the second before a later one");
  }
  r->has_chord  = true;
  r->chord_mark = mark;
  return true;
}

/* `"D7"`, `"^bend"`. */
static size_t
quoted(RlAbcReader *const r, const RlSlice rest)
{
  const RlSlice after = rl_slice_after(rest, 1);
  const RlSlice text  = {after.at, rl_slice_until(after, "\"")};
  if (text.length == after.length) {
    return fail(r, rest, "these quotes are not closed in their line; write \"G7\"");
  }
  if (rl_slice_is(text, "^bend")) {
    return articulation_add(r, rest, RL_ARTICULATION_BEND, text.length + 2);
  }
  if (text.length && strchr("^_<>@", text.at[0])) {
    return (size_t)rl_abc_fail_with(
      r, rl_abc_mark(r, rest.at), "the words \"", text,
      "\" are not read; of all words at notes only \"^bend\" is: leave "
      "them out, or write a line N: above K:");
  }
  return chord_read(r, rest, text) ? text.length + 2 : 0;
}

/* ---- all items ---- */

static const struct {
  const char *begin;                      /* any of these bytes */
  size_t (*read)(RlAbcReader *, RlSlice); /* or: */
  const char *refused;
} items[] = {
  {" \t\r`", blank, NULL},
  {"ABCDEFGabcdefg^_=", rl_abc_note, NULL},
  {"zx", rl_abc_rest, NULL},
  {"Z", bars_rest, NULL},
  {"|", bar_line, NULL},
  {"[", bracket, NULL},
  {"(", parenthesis, NULL},
  {")", slur_close, NULL},
  {"-", tie, NULL},
  {"<>", broken, NULL},
  {"\"", quoted, NULL},
  {"!", decoration, NULL},
  {"\\", line_goes_on, NULL},
  {":", NULL, repeats},
  {"{}", NULL, "grace notes are not read; write !slide! before the note, or a short note"},
  {"&", NULL, "a phrase has one voice; write what stands after & as a tune of its own"},
  {".~HJLMNOPQRSTUVWhijklmnopqrstuvw", NULL,
   "of the decorations only !slide! is read; leave this one out"},
  {"+", NULL, "+ no longer stands around notes or decorations; write [ ] or ! !"},
  {"y", NULL, "extra space between notes is not kept; leave y out"},
  {"X", NULL, "bars that are not printed are not read; write Z"},
  {"/0123456789,'", NULL, "this belongs right after a note; delete the space, or write the note"},
  {"]", NULL, "no [ is open here; write it before the first note, or leave ] out"},
};

/* Reads the first item of `rest`. */
static size_t
item_read(RlAbcReader *const r, const RlSlice rest)
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
  while (line.length) {
    const size_t n = item_read(r, line);
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
  if (r->tie) {
    return rl_abc_fail(r, r->tie_mark, "the tune ends after this tie; write the note it leads to");
  }
  if (r->slur) {
    return rl_abc_fail(r, r->slur_mark, "this slur never closes; write ) after its last note");
  }
  if (r->has_chord) {
    return rl_abc_fail(r, r->chord_mark, "no note or rest follows this chord symbol; write one");
  }
  if (r->articulation) {
    return rl_abc_fail(r, r->articulation_mark, "no note follows this; write one");
  }
  return rl_abc_bar_close(r);
}
