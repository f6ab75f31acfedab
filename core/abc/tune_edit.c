/* SPDX-License-Identifier: ISC */
#include "core/abc/tune_edit.h"

#include <string.h>

/* ---- lines ---- */

/* The first line with its end; `rest` goes on behind it. */
static RlSlice
line_take(RlSlice *const rest)
{
  const size_t  to   = rl_slice_until(*rest, "\n");
  const RlSlice line = {rest->at, to < rest->length ? to + 1 : to};
  *rest              = rl_slice_after(*rest, line.length);
  return line;
}

static bool
is_field(const RlSlice line, const char name)
{
  return line.length > 1 && line.at[0] == name && line.at[1] == ':';
}

static bool
is_one_of(const RlSlice line, const char *const names)
{
  return line.length > 1 && line.at[1] == ':' && strchr(names, line.at[0]);
}

/* As the tune ends its first line. */
static const char *
end_of_lines(const RlSlice tune)
{
  const size_t to = rl_slice_until(tune, "\n");
  return to > 0 && to < tune.length && tune.at[to - 1] == '\r' ? "\r\n" : "\n";
}

/* The tune up to its line K: with that, and the music behind it. */
static RlSlice
head_of(const RlSlice tune, RlSlice *const music)
{
  *music = tune;
  for (RlSlice line = line_take(music); line.length && !is_field(line, 'K');) {
    line = line_take(music);
  }
  return (RlSlice){tune.at, tune.length - music->length};
}

/* ---- one field ---- */

/* The value in a line of a field, without the room round it and without a comment. */
static RlSlice
value_in(const RlSlice line)
{
  RlSlice value = rl_slice_after((RlSlice){line.at, rl_slice_until(line, "\r\n")}, 2);
  for (size_t i = 0; i < value.length; ++i) {
    if (value.at[i] == '%' && (!i || value.at[i - 1] != '\\')) {
      value.length = i;
    }
  }
  return rl_slice_trim(value);
}

/* The first line of that field in the head of a tune; empty if there is none. */
static RlSlice
field_find(const RlSlice tune, const char name)
{
  RlSlice music;
  RlSlice head = head_of(tune, &music);
  while (head.length) {
    const RlSlice line = line_take(&head);
    if (rl_abc_is_named(line, name)) {
      return line;
    }
  }
  return head;
}

/* Where a new field goes: below the titles, else below the tune's number. */
static size_t
place_below_titles(const RlSlice tune)
{
  RlSlice music;
  RlSlice head  = head_of(tune, &music);
  size_t  place = 0;
  while (head.length) {
    const RlSlice line = line_take(&head);
    if (!place || is_field(line, 'T')) {
      place = (size_t)(line.at + line.length - tune.at);
    }
  }
  return place;
}

static void
part_add(RlText *const out, const char *const from, const char *const to)
{
  rl_text_add_slice(out, (RlSlice){from, (size_t)(to - from)});
}

void
rl_abc_field_set(const RlSlice tune, const char name, const RlSlice value, RlText *const out)
{
  const char *const end  = tune.at + tune.length;
  const RlSlice     line = field_find(tune, name);
  const RlSlice     was  = value_in(line);
  if (line.length && value.length) {
    part_add(out, tune.at, was.length ? was.at : line.at + 2);
    rl_text_add_slice(out, value);
    part_add(out, was.length ? was.at + was.length : line.at + 2, end);
  } else if (line.length) {
    part_add(out, tune.at, line.at);
    part_add(out, line.at + line.length, end);
  } else {
    const size_t place   = value.length ? place_below_titles(tune) : 0;
    const char   field[] = {name, ':', '\0'};
    part_add(out, tune.at, tune.at + place);
    if (value.length) {
      rl_text_add(out, field);
      rl_text_add_slice(out, value);
      rl_text_add(out, end_of_lines(tune));
    }
    part_add(out, tune.at + place, end);
  }
}

/* ---- tags ---- */

const char *
rl_abc_over_name(const RlAbcOver over)
{
  static const char *const names[RL_ABC_OVERS] = {"", "over I", "over IV", "over V"};
  return names[over];
}

const char *
rl_abc_hard_name(const int hard)
{
  static const char *const names[] = {"", "easy", "medium", "hard"};
  return names[hard];
}

/* The next word of a value: what stands up to a comma. */
static RlSlice
word_take(RlSlice *const rest)
{
  const size_t  to   = rl_slice_until(*rest, ",");
  const RlSlice word = rl_slice_trim((RlSlice){rest->at, to});
  *rest              = rl_slice_after(*rest, to + 1);
  return word;
}

/* Takes it as a tag; false: it is another word. */
static bool
tag_read(const RlSlice word, RlAbcTags *const tags)
{
  for (int i = 1; i < RL_ABC_OVERS; ++i) {
    if (rl_slice_is(word, rl_abc_over_name((RlAbcOver)i))) {
      tags->over = (uint8_t)i;
      return true;
    }
  }
  for (int i = 1; i <= 3; ++i) {
    if (rl_slice_is(word, rl_abc_hard_name(i))) {
      tags->hard = (uint8_t)i;
      return true;
    }
  }
  return false;
}

RlAbcTags
rl_abc_tags(const RlSlice tune)
{
  RlAbcTags tags = {0};
  RlSlice   rest = value_in(field_find(tune, 'G'));
  while (rest.length) {
    tag_read(word_take(&rest), &tags);
  }
  return tags;
}

static void
word_add(RlText *const value, const RlSlice word)
{
  rl_text_add(value, value->used && word.length ? ", " : "");
  rl_text_add_slice(value, word);
}

void
rl_abc_tags_set(const RlSlice tune, const RlAbcTags tags, RlText *const out)
{
  char      words[RL_PHRASE_FIELDS_SIZE];
  RlText    value = rl_text_in(words, sizeof(words));
  RlAbcTags was;
  RlSlice   rest = value_in(field_find(tune, 'G'));
  while (rest.length) {
    const RlSlice word = word_take(&rest);
    if (!tag_read(word, &was)) {
      word_add(&value, word);
    }
  }
  word_add(&value, rl_slice(rl_abc_over_name((RlAbcOver)tags.over)));
  word_add(&value, rl_slice(rl_abc_hard_name(tags.hard)));
  rl_abc_field_set(tune, 'G', rl_slice(words), out);
}

/* ---- the notes ---- */

/* Has the music a comment, or something that a phrase has no room for? Judged without the lines
   above it that stay as they are. */
static bool
music_loses(const RlSlice tune, RlAbcEditWorkspace *const w)
{
  RlSlice      music;
  RlSlice      head = head_of(tune, &music);
  RlText       text = rl_text_in(w->text, sizeof(w->text));
  RlAbcLeftOut left;
  RlAbcError   error;
  while (head.length) {
    const RlSlice line = line_take(&head);
    if (is_one_of(line, "XTMLQK")) {
      rl_text_add_slice(&text, line);
    }
  }
  rl_text_add_slice(&text, music);
  return memchr(music.at, '%', music.length) ||
         !rl_abc_read_counting((RlSlice){w->text, text.used}, &w->phrase, &left, &error) ||
         rl_abc_left_things(&left) > 0 || left.count[RL_ABC_KEYS] || left.count[RL_ABC_METERS];
}

static void
lines_add(RlText *const out, RlSlice lines, const char *const end)
{
  while (lines.length) {
    const RlSlice line = line_take(&lines);
    rl_text_add_slice(out, (RlSlice){line.at, rl_slice_until(line, "\r\n")});
    rl_text_add(out, end);
  }
}

/* How sure the notes are: the line of a head that says so; empty if none does. */
static RlSlice
sure_find(const RlSlice tune)
{
  RlSlice music;
  RlSlice head = head_of(tune, &music);
  RlSlice line = line_take(&head);
  while (line.length && !rl_abc_is_sure(line)) {
    line = line_take(&head);
  }
  return line;
}

/* The old head with some of its fields written anew: each where it stood, what it has not yet
   before K, which is the last. */
static void
head_add(RlText *const out, RlSlice head, const RlSlice written, const char *const names,
         const char *const end)
{
  bool added[8] = {false};
  while (head.length) {
    const RlSlice line = line_take(&head);
    const bool    last = is_field(line, 'K');
    bool          anew = false;
    for (int i = 0; names[i]; ++i) {
      const bool here = is_field(line, names[i]);
      if (!added[i] && (here || last)) {
        lines_add(out, field_find(written, names[i]), end);
        added[i] = true;
      }
      anew = anew || here;
    }
    if (rl_abc_is_sure(line)) {
      lines_add(out, sure_find(written), end);
    } else if (!anew) {
      rl_text_add_slice(out, line);
    }
  }
}

/* Do they mean the same, whatever fields and title they have? */
static bool
same_music(const RlPhrase *const a, const RlPhrase *const b)
{
  return a->key.minor == b->key.minor && a->mode == b->mode && a->transpose == b->transpose &&
         rl_spelling_class(a->key.tonic) == rl_spelling_class(b->key.tonic) &&
         a->meter_beats == b->meter_beats && a->meter_unit == b->meter_unit &&
         a->tempo == b->tempo && a->pickup == b->pickup && a->lasts == b->lasts &&
         a->notes == b->notes && a->chords == b->chords &&
         !memcmp(a->note, b->note, (size_t)a->notes * sizeof(a->note[0]));
}

/* Has the text end its last line as the tune does: in a book that is not part of the tune. */
static void
end_match(RlText *const out, RlSlice tune)
{
  while (out->used && strchr("\r\n", out->to[out->used - 1])) {
    out->to[--out->used] = '\0';
  }
  size_t tail = tune.length;
  while (tail && strchr("\r\n", tune.at[tail - 1])) {
    --tail;
  }
  rl_text_add_slice(out, rl_slice_after(tune, tail));
}

/* The tune with new music, and with the fields `names` written anew. */
static bool
tune_compose(const RlSlice tune, const RlSlice written, const char *const names,
             const RlPhrase *const phrase, RlPhrase *const check, RlText *const out)
{
  RlSlice           old_music, new_music;
  RlAbcError        error;
  const char *const end  = end_of_lines(tune);
  const size_t      from = out->used;
  head_add(out, head_of(tune, &old_music), written, names, end);
  head_of(written, &new_music);
  lines_add(out, new_music, end);
  end_match(out, tune);
  const RlSlice made = {out->to + from, out->used - from};
  return out->used + 1 < out->size && rl_abc_read(made, check, &error) && same_music(check, phrase);
}

bool
rl_abc_notes_set(const RlSlice tune, const RlPhrase *const phrase, RlAbcEditWorkspace *const w,
                 RlText *const out)
{
  const RlText before = *out;
  if (music_loses(tune, w)) {
    return false;
  }
  RlText        text    = rl_text_in(w->music, sizeof(w->music));
  const RlSlice written = rl_abc_tune(phrase, &text);
  if (tune_compose(tune, written, "L", phrase, &w->phrase, out)) {
    return true;
  }
  *out = before;
  return tune_compose(tune, written, "MLQK", phrase, &w->phrase, out);
}
