/* SPDX-License-Identifier: ISC */
#include "core/chart/reader.h"

bool
rl_chart_reader_bar_append(RlChartReader *const r, const RlBar bar)
{
  if (r->chorus.count + r->ending.count >= RL_BARS_MAX) {
    return rl_chart_reader_fail(
      r, "more than 512 bars after repeats; write a shorter form or fewer repeats");
  }
  r->strain->bar[r->strain->count++] = bar;
  return true;
}

static bool
draft_empty(const RlDraft *const draft)
{
  return !draft->shares;
}

/* Stores the draft's chords, with shares converted to beats. */
static bool
draft_store(RlChartReader *const r, RlBar *const bar)
{
  const RlDraft *const d      = &r->draft;
  const int            shares = d->marks && d->shares <= r->beats ? 1 : d->shares;
  const int            beats  = r->beats / shares;
  if (r->beats % shares) {
    return rl_chart_reader_fail_shares(r);
  }
  if (r->form->chords + d->chords > RL_CHORDS_MAX) {
    return rl_chart_reader_fail(r, "more chords than 512 bars of 8; write a shorter form");
  }
  bar->first_chord = r->form->chords;
  bar->chords      = (uint8_t)d->chords;
  for (int i = 0; i < d->chords; ++i) {
    r->form->chord[r->form->chords++] =
      (RlFormChord){d->chord[i].chord, (uint8_t)(d->chord[i].beat * beats)};
  }
  return true;
}

bool
rl_chart_reader_bar_close(RlChartReader *const r)
{
  const RlSpan paper = r->paper;
  r->paper           = (RlSpan){0};
  if (draft_empty(&r->draft)) {
    return true;
  }
  RlBar bar      = {0};
  bar.beats      = (uint8_t)r->beats;
  bar.unit       = (uint8_t)r->unit;
  bar.written    = (uint16_t)(r->bar - 1);
  bar.section    = (uint8_t)(r->form->sections ? r->form->sections - 1 : RL_SECTIONS_MAX);
  const int line = r->line;
  r->line        = r->bar_line;
  if (!draft_store(r, &bar) || !rl_chart_reader_bar_append(r, bar)) {
    return false;
  }
  r->form->paper[bar.written] = paper; /* every bar on paper is a bar of the form: it fits */
  r->form->paper_bars         = (uint16_t)r->bar;
  r->line                     = line;
  r->last                     = r->draft;
  r->draft                    = (RlDraft){0};
  return true;
}

/* ---- items in a line of bars ---- */

static size_t
digits_at(const RlSlice rest, const size_t at, int *const number)
{
  size_t n = 0;
  while (at + n < rest.length && rest.at[at + n] >= '0' && rest.at[at + n] <= '9') {
    ++n;
  }
  *number = rl_slice_number((RlSlice){rest.at + at, n});
  return n;
}

/* An ending's number directly after a bar line; digits before a slash are a meter. */
static bool
ending_number(RlChartReader *const r, const RlSlice rest, size_t *const n)
{
  int          number = 0;
  const size_t digits = digits_at(rest, *n, &number);
  if (!digits || (*n + digits < rest.length && rest.at[*n + digits] == '/')) {
    return true;
  }
  *n += digits;
  *n += rl_slice_begins(rl_slice_after(rest, *n), ".") ? 1 : 0;
  return rl_chart_reader_ending_open(r, number);
}

/* `x3` after a :|, blanks before it or not: bytes, 0 if it is not there. */
static size_t
times_at(const RlSlice after, int *const times)
{
  size_t n = 0;
  for (size_t blank = 0; (blank = rl_chart_blank(rl_slice_after(after, n))) > 0;) {
    n += blank;
  }
  const size_t digits =
    rl_slice_begins(rl_slice_after(after, n), "x") ? digits_at(after, n + 1, times) : 0;
  return digits ? n + 1 + digits : 0;
}

/* `:|`, `:|x3`, `:|]`, `:|2` and `:|:`. Returns the bytes read, 0 on error. */
static size_t
repeat_end_read(RlChartReader *const r, const RlSlice rest)
{
  size_t       n     = 2;
  int          times = 2;
  const size_t said  = times_at(rl_slice_after(rest, 2), &times);
  if ((!said && rl_slice_begins(rest, ":|x")) || times < 2 || times > RL_BARS_MAX) {
    return (size_t)rl_chart_reader_fail(r, ":|x says how often in all, 2 to 512: :|x3");
  }
  n += said;
  if (!rl_chart_reader_repeat_close(r, times) || !ending_number(r, rest, &n)) {
    return 0;
  }
  if (rl_slice_begins(rest, ":|]")) {
    return 3;
  }
  if (n < rest.length && rest.at[n] == ':' && n == 2) {
    n += (size_t)rl_chart_reader_repeat_open(r);
    return n == 2 ? 0 : n;
  }
  return n;
}

/* A plain bar line; `begun` if nothing but blanks stands between it and another one in this line.
   The older rules pass over the bar that is empty then. */
static bool
plain_bar_line(RlChartReader *const r, const bool begun)
{
  if (begun && r->rules >= 2) {
    ++r->bar;
    return rl_chart_reader_fail(
      r, "this bar is empty; write % to play the bar before once more, N.C. for no chord");
  }
  r->bar_begun = true;
  return true;
}

/* `|`, `||`, `|]`, `|:` and `|1`. Returns the bytes read, 0 on error. */
static size_t
bar_line_read(RlChartReader *const r, const RlSlice rest, const bool begun)
{
  size_t n = 1;
  while (n < rest.length && (rest.at[n] == '|' || rest.at[n] == ']')) {
    ++n;
  }
  r->strain->in_second_ending = r->strain->in_second_ending && n < 2;
  if (n < rest.length && rest.at[n] == ':') {
    return rl_chart_reader_repeat_open(r) ? n + 1 : 0;
  }
  return ending_number(r, rest, &n) && (n > 1 || plain_bar_line(r, begun)) ? n : 0;
}

static size_t
section_read(RlChartReader *const r, const RlSlice rest)
{
  const size_t  close = rl_slice_until(rest, "]");
  const RlSlice name  = rl_chart_trim((RlSlice){rest.at + 1, close - 1});
  if (close == rest.length || !name.length || name.length > 64) {
    return (size_t)rl_chart_reader_fail(
      r, "a section is a name of up to 64 bytes in brackets on one line: [A]");
  }
  if (r->form->sections == RL_SECTIONS_MAX) {
    return (size_t)rl_chart_reader_fail(r, "more than 128 sections; remove some of the names");
  }
  RlStrain *const strain = rl_chart_same_word(name, "ending") ? &r->ending : &r->chorus;
  if (strain != r->strain && !rl_chart_reader_strain_done(r, r->strain)) {
    return 0;
  }
  r->strain->in_second_ending           = false;
  r->strain                             = strain;
  strain->in_second_ending              = false;
  r->form->section[r->form->sections++] = rl_chart_span(r->form, name);
  return close + 1;
}

static bool
meter_change(RlChartReader *const r, const RlSlice word)
{
  int beats = 0;
  int unit  = 0;
  if (!draft_empty(&r->draft)) {
    return rl_chart_reader_fail_with(r, "the meter ", word,
                                     " stands inside a bar; put it at the start of one");
  }
  if (!rl_chart_meter(word, &beats, &unit)) {
    ++r->bar; /* the one whose head this is */
    return rl_chart_reader_fail_with(r, "no such meter \"", word,
                                     "\"; write 1 to 32 over 1, 2, 4, 8, 16 or 32: 3/4");
  }
  r->beats = beats;
  r->unit  = unit;
  return true;
}

static RlChord
settled(const RlChartReader *const r, const RlChord chord)
{
  if (!r->form->has_key) {
    return chord;
  }
  return r->rules < 2 ? rl_chord_letters_in_key(chord, r->form->key)
                      : rl_chord_in_key(chord, r->form->key);
}

/* The chords before `next` that turn out to be the ii of the degree it belongs to. */
static void
leads_settle(RlChartReader *const r, const RlChord next)
{
  RlChord       leading = r->before;
  const RlChord was     = settled(r, r->before);
  if (!rl_chord_leads(&leading, next)) {
    return;
  }
  const RlChord is = settled(r, leading);
  int           i  = r->draft.chords;
  while (i > 0 && rl_chord_same(r->draft.chord[i - 1].chord, was)) {
    r->draft.chord[--i].chord = is;
  }
  for (int k = r->form->chords; !i && k > 0 && rl_chord_same(r->form->chord[k - 1].chord, was);) {
    r->form->chord[--k].chord = is;
  }
}

static bool
chord_add(RlChartReader *const r, const RlSlice word)
{
  static const char *const way_out[] = {
    [RL_CHORD_NO_ROOT]    = "\"; letters run A to G, degrees I to VII",
    [RL_CHORD_NO_QUALITY] = "\"; after the root comes nothing or a quality of the chart reference: "
                            "m, 7, m7, maj7, dim7, sus4 …",
    [RL_CHORD_NO_BASS]    = "\"; after / comes a bass, a letter A to G or a degree I to VII",
  };
  RlChord             chord;
  const RlChordStatus status = rl_chord_read(word, &chord);
  if (status != RL_CHORD_OK) {
    return rl_chart_reader_fail_with(r, "no such chord \"", word, way_out[status]);
  }
  if (r->draft.chords == RL_BAR_CHORDS_MAX) {
    return rl_chart_reader_fail(r, "more than 8 chords in a bar; put a bar line between them");
  }
  if (r->rules < 2) {
    chord = rl_chord_slash_is_bass(chord);
  } else if (chord.of) {
    leads_settle(r, chord);
  }
  r->before                         = chord;
  r->draft.chord[r->draft.chords++] = (RlFormChord){settled(r, chord), (uint8_t)r->draft.shares++};
  r->draft.marks                    = false;
  return true;
}

/* `/` and `.` hold the chord before them; at the head of a bar that of the bar before. */
static bool
hold_add(RlChartReader *const r)
{
  if (!r->draft.chords && !r->last.chords) {
    return rl_chart_reader_fail(
      r, "/ and . hold the chord before them, and there is none; write the chord");
  }
  if (!r->draft.chords) {
    r->draft.chord[r->draft.chords++] = (RlFormChord){r->last.chord[r->last.chords - 1].chord, 0};
    r->draft.marks                    = true;
  }
  ++r->draft.shares;
  return r->draft.shares <= RL_BAR_BEATS_MAX || rl_chart_reader_fail_shares(r);
}

/* `%`: the bar before once more, its shares laid along this bar's own meter. */
static bool
last_again(RlChartReader *const r)
{
  if (!r->last.chords) {
    return rl_chart_reader_fail(r, "% repeats the bar before, and there is none; write the chord");
  }
  r->draft           = r->last;
  r->draft.as_before = true;
  return true;
}

/* One word inside a bar. */
static bool
word_read(RlChartReader *const r, const RlSlice word)
{
  const bool digit = word.at[0] >= '0' && word.at[0] <= '9';
  if (!digit && draft_empty(&r->draft)) {
    ++r->bar;
    r->bar_line = r->line;
  }
  if (r->draft.as_before || (rl_slice_is(word, "%") && !draft_empty(&r->draft))) {
    return rl_chart_reader_fail(r, "% stands alone in its bar; put a bar line before and after it");
  }
  if (rl_slice_is(word, "%")) {
    return last_again(r);
  }
  if (rl_slice_is(word, "/") || rl_slice_is(word, ".")) {
    return hold_add(r);
  }
  return digit ? meter_change(r, word) : chord_add(r, word);
}

/* Extends the text of this bar on paper to the word. */
static void
paper_extend(RlChartReader *const r, const RlSlice word)
{
  const RlSpan here = rl_chart_span(r->form, word);
  r->paper.at       = r->paper.length ? r->paper.at : here.at;
  r->paper.length   = (uint16_t)(here.at + here.length - r->paper.at);
}

/* Bytes to the bracket that closes a `(` in the same bar, 0 if none does. */
static size_t
bracket_length(const RlSlice rest)
{
  const size_t n = rl_slice_until(rest, ")|[");
  return n < rest.length && rest.at[n] == ')' ? n : 0;
}

/* A word ends at a blank, but not inside round brackets. */
static size_t
word_length(const RlSlice rest)
{
  size_t n = 0;
  while (n < rest.length && !rl_chart_blank(rl_slice_after(rest, n)) && rest.at[n] != '|' &&
         rest.at[n] != '[' && !rl_slice_begins(rl_slice_after(rest, n), ":|")) {
    n += rest.at[n] == '(' ? bracket_length(rl_slice_after(rest, n)) : 0;
    ++n;
  }
  return n;
}

/* Reads the first item of `rest`; returns its bytes, 0 on error. */
static size_t
item_read(RlChartReader *const r, const RlSlice rest)
{
  const bool   repeat = rl_slice_begins(rest, ":|");
  const bool   begun  = r->bar_begun;
  const size_t blank  = rl_chart_blank(rest);
  if (blank) {
    return blank;
  }
  r->bar_begun = false;
  if (rl_chart_comment(rest)) {
    return rest.length;
  }
  if (repeat || rest.at[0] == '|' || rest.at[0] == '[') {
    if (!rl_chart_reader_bar_close(r)) {
      return 0;
    }
    return repeat              ? repeat_end_read(r, rest)
           : rest.at[0] == '|' ? bar_line_read(r, rest, begun)
                               : section_read(r, rest);
  }
  const size_t n = word_length(rest);
  paper_extend(r, (RlSlice){rest.at, n});
  return word_read(r, (RlSlice){rest.at, n}) ? n : 0;
}

bool
rl_chart_reader_bars(RlChartReader *const r, RlSlice line)
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
