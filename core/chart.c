#include "chart.h"

#include <string.h>

/* Bars being unrolled: one list for the chorus, one for the ending. */
typedef struct {
  RlBar *bar;
  int    count;
  int    repeat_from;      /* where a :| goes back to */
  int    repeat_line;      /* of the |: that is open, 0 if none is */
  int    first_ending;     /* its first bar, -1 if none is open */
  int    ending_line;      /* of the |1 that opened it */
  bool   had_first_ending; /* the last :| closed one */
  bool   in_second_ending;
} Strain;

/* The bar being read. */
typedef struct {
  RlFormChord chord[RL_BAR_CHORDS_MAX]; /* .beat counts shares until the bar is closed */
  int         chords, shares;
  bool        as_before; /* % */
} Draft;

typedef struct {
  RlForm       *form;
  RlChartError *error;
  int           line, bar;
  int           bar_line, lead_in_line; /* where the bar being read begins; of the header */
  int           beats, unit;
  Draft         draft;
  Strain        chorus, ending;
  Strain       *strain; /* the one being written */
  RlBar         ending_bar[RL_BARS_MAX];
  Draft         last; /* the bar before on paper; none while .chords is 0 */
  unsigned      seen; /* headers already read, a bit each */
} Reader;

/* ---- errors ---- */

static bool
fail_with(Reader *const r, const char *const before, const RlSlice quoted, const char *const after)
{
  enum { QUOTE_MAX = 40 };
  RlText text    = rl_text_in(r->error->reason, sizeof(r->error->reason));
  r->error->line = r->line;
  r->error->bar  = r->bar;
  rl_text_add(&text, before);
  if (quoted.at) {
    RlText quote = {text.to + text.used, text.room - text.used, 0};
    quote.room   = quote.room < QUOTE_MAX ? quote.room : QUOTE_MAX;
    rl_text_add_slice(&quote, quoted);
    text.used += quote.used;
  }
  rl_text_add(&text, after);
  return false;
}

static bool
fail(Reader *const r, const char *const reason)
{
  return fail_with(r, reason, (RlSlice){NULL, 0}, "");
}

void
rl_chart_error_write(const RlChartError *const error, RlText *const text)
{
  rl_text_add(text, "line ");
  rl_text_add_int(text, error->line);
  if (error->bar) {
    rl_text_add(text, ", bar ");
    rl_text_add_int(text, error->bar);
  }
  rl_text_add(text, ": ");
  rl_text_add(text, error->reason);
}

/* ---- lines ---- */

/* Takes one line off the front of `rest`. */
static RlSlice
line_take(RlSlice *const rest)
{
  size_t n = 0;
  while (n < rest->length && rest->at[n] != '\n') {
    ++n;
  }
  const RlSlice line = {rest->at, n};
  *rest              = rl_slice_after(*rest, n + 1);
  return rl_slice_trim(line);
}

static bool
name_byte(const char c)
{
  return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') || c == '-' ||
         c == '_';
}

/* Bytes of `name` in a line `name: value`, 0 if it is not one. `V7 :|` and `V7:|` are bars. */
static size_t
header_name(const RlSlice line)
{
  size_t n = 0;
  while (n < line.length && name_byte(line.at[n])) {
    ++n;
  }
  const bool colon = n < line.length && line.at[n] == ':';
  const bool bar   = n + 1 < line.length && line.at[n + 1] == '|';
  return colon && !bar ? n : 0;
}

static char
small(const char c)
{
  return c >= 'A' && c <= 'Z' ? (char)(c - 'A' + 'a') : c;
}

static bool
same_word(const RlSlice word, const char *const lower_case)
{
  if (word.length != strlen(lower_case)) {
    return false;
  }
  for (size_t i = 0; i < word.length; ++i) {
    if (small(word.at[i]) != lower_case[i]) {
      return false;
    }
  }
  return true;
}

/* ---- headers ---- */

static RlSpan
span_of(const RlForm *const form, const RlSlice slice)
{
  return (RlSpan){(uint16_t)(slice.at - form->text), (uint16_t)slice.length};
}

static size_t
until(const RlSlice slice, const char stop)
{
  size_t n = 0;
  while (n < slice.length && slice.at[n] != stop) {
    ++n;
  }
  return n;
}

/* `12/8`: how many of which note value. */
static bool
meter_read(const RlSlice text, int *const beats, int *const unit)
{
  const size_t slash = until(text, '/');
  *beats             = rl_slice_number((RlSlice){text.at, slash});
  *unit              = rl_slice_number(rl_slice_after(text, slash + 1));
  return *beats >= 1 && *beats <= RL_BAR_BEATS_MAX && *unit >= 1 && *unit <= 32 &&
         !(*unit & (*unit - 1));
}

static bool
title_header(Reader *const r, const RlSlice value)
{
  r->form->title = span_of(r->form, value);
  return true;
}

static bool
feel_header(Reader *const r, const RlSlice value)
{
  r->form->feel = span_of(r->form, value);
  return true;
}

static bool
key_header(Reader *const r, const RlSlice value)
{
  r->form->has_key = rl_key_read(value, &r->form->key);
  return r->form->has_key ||
         fail_with(r, "no such key \"", value,
                   "\"; write a letter A to G, # or b, and m for minor: G, Bb, F#m");
}

static bool
meter_header(Reader *const r, const RlSlice value)
{
  int beats = 0;
  int unit  = 0;
  if (!meter_read(value, &beats, &unit)) {
    return fail_with(r, "no such meter \"", value,
                     "\"; write 1 to 32 over 1, 2, 4, 8, 16 or 32: 4/4, 12/8");
  }
  r->form->meter_beats = (uint8_t)beats;
  r->form->meter_unit  = (uint8_t)unit;
  return true;
}

static bool
tempo_header(Reader *const r, const RlSlice value)
{
  const size_t  point    = until(value, '.');
  const RlSlice decimals = rl_slice_after(value, point + 1);
  const int     whole    = rl_slice_number((RlSlice){value.at, point});
  const int     part     = point < value.length ? rl_slice_number(decimals) : 0;
  double        scale    = 1;
  for (size_t i = 0; i < decimals.length; ++i) {
    scale *= 10;
  }
  r->form->tempo = whole + part / scale;
  return (whole >= 0 && part >= 0 && r->form->tempo >= 20 && r->form->tempo <= 400) ||
         fail_with(r, "no such tempo \"", value, "\"; write felt beats a minute, 20 to 400: 72");
}

static bool
lead_in_header(Reader *const r, const RlSlice value)
{
  const size_t  n     = until(value, ' ');
  const int     bars  = rl_slice_number((RlSlice){value.at, n});
  const RlSlice rest  = rl_slice_trim(rl_slice_after(value, n));
  const bool    from  = rl_slice_begins(rest, "from ");
  const int     first = from ? rl_slice_number(rl_slice_trim(rl_slice_after(rest, 5))) : 0;
  if (bars < 0 || bars > RL_BARS_MAX || first < 0 || (from && first < 1) ||
      (!from && rest.length)) {
    return fail_with(r, "no such lead-in \"", value,
                     "\"; write how many bars, and the bar of the form they are if they have "
                     "chords: 2, or 4 from 9");
  }
  r->lead_in_line       = r->line;
  r->form->lead_in      = (uint16_t)bars;
  r->form->lead_in_from = (uint16_t)(first <= RL_BARS_MAX ? first : RL_BARS_MAX + 1);
  return true;
}

static bool
choruses_header(Reader *const r, const RlSlice value)
{
  const int n = rl_slice_number(value);
  if (n < 1 || n > 9999) {
    return fail_with(r, "no such number of choruses \"", value, "\"; write 1 to 9999");
  }
  r->form->choruses = (uint16_t)n;
  return true;
}

static const struct {
  const char *name;
  bool (*read)(Reader *, RlSlice);
} headers[] = {
  {"title", title_header},       {"key", key_header},   {"meter", meter_header},
  {"tempo", tempo_header},       {"feel", feel_header}, {"lead-in", lead_in_header},
  {"choruses", choruses_header},
};

static bool
header_read(Reader *const r, const RlSlice name, const RlSlice value)
{
  for (size_t i = 0; i < sizeof(headers) / sizeof(headers[0]); ++i) {
    if (!same_word(name, headers[i].name)) {
      continue;
    }
    if (r->seen & (1U << i)) {
      return fail_with(r, "", name, ": stands here a second time; keep one of the two");
    }
    r->seen |= 1U << i;
    return headers[i].read(r, value);
  }
  if (until(value, '|') < value.length) {
    return fail_with(r, "bars behind \"", name,
                     ":\", which is no header; name a section in brackets: [A]");
  }
  return true; /* somebody else's header: kept with the text */
}

/* ---- bars ---- */

static Strain
strain_in(RlBar *const bar)
{
  return (Strain){bar, 0, 0, 0, -1, 0, false, false};
}

static bool
bar_append(Reader *const r, const RlBar bar)
{
  if (r->chorus.count + r->ending.count >= RL_BARS_MAX) {
    return fail(r, "more than 512 bars after repeats; write a shorter form or fewer repeats");
  }
  r->strain->bar[r->strain->count++] = bar;
  return true;
}

static bool
draft_empty(const Draft *const draft)
{
  return !draft->shares;
}

static bool
shares_fail(Reader *const r)
{
  const Draft *const d = &r->draft;
  char               buffer[RL_REASON_ROOM];
  RlText             text = rl_text_in(buffer, sizeof(buffer));
  const bool         many = d->shares > r->beats;
  rl_text_add_int(&text, d->shares);
  rl_text_add(&text, d->shares > d->chords ? " chords and holds" : " chords");
  rl_text_add(&text, many ? " are more than " : " do not share ");
  rl_text_add_int(&text, r->beats);
  rl_text_add(&text, many ? " beats; set a bar line between them"
                          : " beats equally; hold a chord longer with / until the number divides ");
  if (!many) {
    rl_text_add_int(&text, r->beats);
  }
  return fail(r, buffer);
}

/* Stores the draft's chords, shares turned into beats. */
static bool
draft_store(Reader *const r, RlBar *const bar)
{
  const Draft *const d     = &r->draft;
  const int          beats = r->beats / d->shares;
  if (r->beats % d->shares) {
    return shares_fail(r);
  }
  if (r->form->chords + d->chords > RL_CHORDS_MAX) {
    return fail(r, "more chords than 512 bars of 8; write a shorter form");
  }
  bar->first_chord = r->form->chords;
  bar->chords      = (uint8_t)d->chords;
  for (int i = 0; i < d->chords; ++i) {
    r->form->chord[r->form->chords++] =
      (RlFormChord){d->chord[i].chord, (uint8_t)(d->chord[i].beat * beats)};
  }
  return true;
}

/* A bar line: closes the bar being read, if anything stands in it. */
static bool
bar_close(Reader *const r)
{
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
  if (!draft_store(r, &bar) || !bar_append(r, bar)) {
    return false;
  }
  r->line  = line;
  r->last  = r->draft;
  r->draft = (Draft){0};
  return true;
}

/* ---- repeats ---- */

static bool
repeat_open(Reader *const r)
{
  Strain *const s = r->strain;
  if (s->repeat_line) {
    return fail(r, "|: inside a repeat; close the first with :| before opening another");
  }
  if (s->first_ending >= 0) {
    return fail(r, "|: inside a first ending; close it with :| first");
  }
  s->repeat_from      = s->count;
  s->repeat_line      = r->line;
  s->in_second_ending = s->had_first_ending = false;
  return true;
}

static bool
copy_bars(Reader *const r, const int from, const int to)
{
  for (int i = from; i < to; ++i) {
    if (!bar_append(r, r->strain->bar[i])) {
      return false;
    }
  }
  return true;
}

/* Plays the strain `times` in all; a first ending is left out of the last pass. */
static bool
repeat_close(Reader *const r, const int times)
{
  Strain *const s    = r->strain;
  const int     end  = s->count;
  const int     body = s->first_ending >= 0 ? s->first_ending : end;
  if (s->in_second_ending) {
    return fail(r, ":| inside a second ending; end that with || first");
  }
  if (end == s->repeat_from) {
    return fail(r, ":| has nothing to repeat; write the bars before it");
  }
  for (int pass = 2; pass <= times; ++pass) {
    if (!copy_bars(r, s->repeat_from, pass < times ? end : body)) {
      return false;
    }
  }
  s->had_first_ending = s->first_ending >= 0;
  s->first_ending     = -1;
  s->repeat_from      = s->count;
  s->repeat_line      = 0;
  return true;
}

static bool
ending_open(Reader *const r, const int number)
{
  Strain *const s = r->strain;
  if (number == 1) {
    if (s->first_ending >= 0 || s->in_second_ending) {
      return fail(r, "|1 inside an ending; close that with :| or || first");
    }
    if (s->count == s->repeat_from) {
      return fail(r, "|1 comes after the bars that are repeated; write them before it");
    }
    s->first_ending = s->count;
    s->ending_line  = r->line;
    return true;
  }
  if (number != 2) {
    return fail(r, "no such ending; the first is |1, the second |2");
  }
  if (s->first_ending >= 0 && !repeat_close(r, 2)) {
    return false;
  }
  if (!s->had_first_ending || s->count != s->repeat_from) {
    return fail(r, "a second ending needs a first: |1 … :|2 …");
  }
  s->in_second_ending = true;
  s->had_first_ending = false;
  return true;
}

static bool
strain_done(Reader *const r, const Strain *const s)
{
  if (s->repeat_line) {
    r->line = s->repeat_line;
    r->bar  = 0;
    return fail(r, "the repeat that |: opens here never closes; end it with :|");
  }
  if (s->first_ending >= 0) {
    r->line = s->ending_line;
    r->bar  = 0;
    return fail(r, "the first ending never closes; end it with :|");
  }
  return true;
}

/* ---- what stands in a line of bars ---- */

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

/* An ending's number right behind a bar line; digits before a slash are a meter. */
static bool
ending_number(Reader *const r, const RlSlice rest, size_t *const n)
{
  int          number = 0;
  const size_t digits = digits_at(rest, *n, &number);
  if (!digits || (*n + digits < rest.length && rest.at[*n + digits] == '/')) {
    return true;
  }
  *n += digits;
  return ending_open(r, number);
}

/* `:|`, `:|x3`, `:|2` and `:|:`. Returns the bytes read, 0 on error. */
static size_t
repeat_end_read(Reader *const r, const RlSlice rest)
{
  size_t n     = 2;
  int    times = 2;
  if (rl_slice_begins(rest, ":|x")) {
    const size_t digits = digits_at(rest, 3, &times);
    if (!digits || times < 2 || times > RL_BARS_MAX) {
      return (size_t)fail(r, ":|x says how often in all, 2 to 512: :|x3");
    }
    n += 1 + digits;
  }
  if (!repeat_close(r, times) || !ending_number(r, rest, &n)) {
    return 0;
  }
  if (n < rest.length && rest.at[n] == ':' && n == 2) {
    n += (size_t)repeat_open(r);
    return n == 2 ? 0 : n;
  }
  return n;
}

/* `|`, `||`, `|:` and `|1`. Returns the bytes read, 0 on error. */
static size_t
bar_line_read(Reader *const r, const RlSlice rest)
{
  size_t n = 1;
  while (n < rest.length && rest.at[n] == '|') {
    ++n;
  }
  r->strain->in_second_ending = r->strain->in_second_ending && n < 2;
  if (n < rest.length && rest.at[n] == ':') {
    return repeat_open(r) ? n + 1 : 0;
  }
  return ending_number(r, rest, &n) ? n : 0;
}

static size_t
section_read(Reader *const r, const RlSlice rest)
{
  const size_t  close = until(rest, ']');
  const RlSlice name  = rl_slice_trim((RlSlice){rest.at + 1, close - 1});
  if (close == rest.length || !name.length || name.length > 64) {
    return (size_t)fail(r, "a section is a name of up to 64 bytes in brackets on one line: [A]");
  }
  if (r->form->sections == RL_SECTIONS_MAX) {
    return (size_t)fail(r, "more than 128 sections; drop some of the names");
  }
  Strain *const strain = same_word(name, "ending") ? &r->ending : &r->chorus;
  if (strain != r->strain && !strain_done(r, r->strain)) {
    return 0;
  }
  r->strain->in_second_ending           = false;
  r->strain                             = strain;
  strain->in_second_ending              = false;
  r->form->section[r->form->sections++] = span_of(r->form, name);
  return close + 1;
}

static bool
meter_change(Reader *const r, const RlSlice word)
{
  int beats = 0;
  int unit  = 0;
  if (!draft_empty(&r->draft)) {
    return fail_with(r, "the meter ", word, " stands inside a bar; put it at the head of one");
  }
  if (!meter_read(word, &beats, &unit)) {
    ++r->bar; /* the one whose head this is */
    return fail_with(r, "no such meter \"", word,
                     "\"; write 1 to 32 over 1, 2, 4, 8, 16 or 32: 3/4");
  }
  r->beats = beats;
  r->unit  = unit;
  return true;
}

static bool
chord_add(Reader *const r, const RlSlice word)
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
    return fail_with(r, "no such chord \"", word, way_out[status]);
  }
  if (r->draft.chords == RL_BAR_CHORDS_MAX) {
    return fail(r, "more than 8 chords in a bar; set a bar line between them");
  }
  chord = r->form->has_key ? rl_chord_in_key(chord, r->form->key) : chord;
  r->draft.chord[r->draft.chords++] = (RlFormChord){chord, (uint8_t)r->draft.shares++};
  return true;
}

static bool
hold_add(Reader *const r)
{
  if (!r->draft.chords) {
    return fail(r, "/ holds the chord before it, and there is none in this bar; write the chord");
  }
  ++r->draft.shares;
  return r->draft.shares <= RL_BAR_BEATS_MAX || shares_fail(r);
}

/* `%`: the bar before once more, its shares laid along this bar's own meter. */
static bool
last_again(Reader *const r)
{
  if (!r->last.chords) {
    return fail(r, "% repeats the bar before, and there is none; write the chord");
  }
  r->draft           = r->last;
  r->draft.as_before = true;
  return true;
}

/* One word inside a bar. */
static bool
word_read(Reader *const r, const RlSlice word)
{
  const bool digit = word.at[0] >= '0' && word.at[0] <= '9';
  if (!digit && draft_empty(&r->draft)) {
    ++r->bar;
    r->bar_line = r->line;
  }
  if (r->draft.as_before || (rl_slice_is(word, "%") && !draft_empty(&r->draft))) {
    return fail(r, "% stands alone in its bar; set a bar line before and after it");
  }
  if (rl_slice_is(word, "%")) {
    return last_again(r);
  }
  if (rl_slice_is(word, "/")) {
    return hold_add(r);
  }
  return digit ? meter_change(r, word) : chord_add(r, word);
}

static size_t
word_length(const RlSlice rest)
{
  size_t n = 0;
  while (n < rest.length && rest.at[n] != ' ' && rest.at[n] != '\t' && rest.at[n] != '|' &&
         rest.at[n] != '[' && !rl_slice_begins(rl_slice_after(rest, n), ":|")) {
    ++n;
  }
  return n;
}

/* Reads whatever stands first in `rest`; returns its bytes, 0 on error. */
static size_t
item_read(Reader *const r, const RlSlice rest)
{
  const bool repeat = rl_slice_begins(rest, ":|");
  if (rest.at[0] == ' ' || rest.at[0] == '\t') {
    return 1;
  }
  if (repeat || rest.at[0] == '|' || rest.at[0] == '[') {
    if (!bar_close(r)) {
      return 0;
    }
    return repeat              ? repeat_end_read(r, rest)
           : rest.at[0] == '|' ? bar_line_read(r, rest)
                               : section_read(r, rest);
  }
  const size_t n = word_length(rest);
  return word_read(r, (RlSlice){rest.at, n}) ? n : 0;
}

static bool
bars_line(Reader *const r, RlSlice line)
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

/* ---- the whole text ---- */

static bool
header_line(Reader *const r, const RlSlice line)
{
  const size_t n = header_name(line);
  return !n || header_read(r, (RlSlice){line.at, n}, rl_slice_trim(rl_slice_after(line, n + 1)));
}

static bool
grid_line(Reader *const r, const RlSlice line)
{
  return header_name(line) || bars_line(r, line);
}

/* Calls `read` for each line that is no comment. */
static bool
each_line(Reader *const r, bool (*const read)(Reader *, RlSlice))
{
  RlSlice rest = {r->form->text, r->form->text_length};
  r->line      = 0;
  do {
    const RlSlice line = line_take(&rest);
    ++r->line;
    if (line.length && line.at[0] != '#' && !read(r, line)) {
      return false;
    }
  } while (rest.length);
  return true;
}

static bool
text_keep(Reader *const r, const RlSlice text)
{
  if (text.length > RL_CHART_MAX) {
    return fail(r, "the chart is longer than 16384 bytes; leave out comments or write repeats");
  }
  const ptrdiff_t bad = rl_slice_bad_byte(text);
  for (ptrdiff_t i = 0; i < bad; ++i) {
    r->line += text.at[i] == '\n';
  }
  if (bad >= 0) {
    return fail(r, "this line holds a byte that is no text; save the chart as UTF-8");
  }
  const size_t mark = rl_slice_begins(text, "\xEF\xBB\xBF") ? 3 : 0;
  memcpy(r->form->text, text.at + mark, text.length - mark);
  r->form->text_length = (uint16_t)(text.length - mark);
  return true;
}

static bool
lead_in_fits(Reader *const r)
{
  const RlForm *const f = r->form;
  if (!f->lead_in_from || f->lead_in_from + f->lead_in - 1 <= f->bars) {
    return true;
  }
  r->line = r->lead_in_line;
  return fail(
    r, "the lead-in runs past the last bar of the form; begin it earlier or make it shorter");
}

/* Grid read: puts the ending behind the chorus and checks what only the whole can show. */
static bool
form_close(Reader *const r)
{
  RlForm *const f = r->form;
  if (!bar_close(r) || !strain_done(r, r->strain)) {
    return false;
  }
  r->bar = 0;
  if (!r->chorus.count) {
    return fail(r, "there are no bars; write chords between bar lines: | I7 | IV7 |");
  }
  f->bars        = (uint16_t)r->chorus.count;
  f->ending_bars = (uint16_t)r->ending.count;
  memcpy(f->bar + f->bars, r->ending_bar, sizeof(RlBar) * f->ending_bars);
  if (!lead_in_fits(r)) {
    return false;
  }
  rl_form_finish(f);
  return true;
}

bool
rl_chart_read(const RlSlice text, RlForm *const form, RlChartError *const error)
{
  Reader r = {.form = form, .error = error, .line = 1};
  memset(form, 0, sizeof(*form));
  memset(error, 0, sizeof(*error));
  form->key         = rl_key_named(7, false);
  form->meter_beats = form->meter_unit = 4;
  r.chorus                             = strain_in(form->bar);
  r.ending                             = strain_in(r.ending_bar);
  r.strain                             = &r.chorus;
  if (!text_keep(&r, text) || !each_line(&r, header_line)) {
    return false;
  }
  r.beats = form->meter_beats;
  r.unit  = form->meter_unit;
  return each_line(&r, grid_line) && form_close(&r);
}

RlSlice
rl_chart_header(const RlForm *const form, const char *const name)
{
  RlSlice rest = {form->text, form->text_length};
  while (rest.length) {
    const RlSlice line = line_take(&rest);
    const size_t  n    = header_name(line);
    if (n && same_word((RlSlice){line.at, n}, name)) {
      return rl_slice_trim(rl_slice_after(line, n + 1));
    }
  }
  return (RlSlice){form->text, 0};
}
