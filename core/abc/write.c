/* SPDX-License-Identifier: ISC */
#include "core/abc/reader.h"

#include "core/meter/meter.h"

#include <assert.h>
#include <limits.h>

enum {
  MIDDLE_C    = 60,
  UNIT        = RL_ABC_WHOLE_TICKS / 8, /* L:1/8 */
  ODD         = 315,                    /* the odd factor of a whole note's ticks: 3 * 3 * 5 * 7 */
  BARS_A_LINE = 4,
  TUPLET_MAX  = 999,
  TEMPO_PARTS = 1000000
};

_Static_assert(RL_ABC_WHOLE_TICKS % ODD == 0 &&
                 (RL_ABC_WHOLE_TICKS / ODD & (RL_ABC_WHOLE_TICKS / ODD - 1)) == 0,
               "ODD is the odd factor");

typedef struct {
  const RlPhrase *phrase;
  RlText         *text;
  RlAbcKey        key;       /* as written */
  int32_t         bar, beat; /* ticks, 0: free */
  int32_t         at;        /* ticks written so far */
  int             note;      /* the first that has not ended */
  int             chord;     /* the first that is not yet written */
  int             tuplet;    /* pieces left in it */
  bool            slur;
  bool            altered[7]; /* by letter, in this bar */
} RlAbcWriter;

/* What is written as one note, stack or rest: it ends at a bar line or a new chord at the latest,
   and is tied to the next piece there. */
typedef struct {
  int32_t from, to;
  int     note, count; /* count 0: a rest */
  bool    begins, ends;
} RlPiece;

static int32_t
divisor(int32_t a, int32_t b)
{
  while (b) {
    const int32_t rest = a % b;
    a                  = b;
    b                  = rest;
  }
  return a;
}

static int32_t
earlier(const int32_t a, const int32_t b)
{
  return a < b ? a : b;
}

static int
together(const RlPhrase *const p, const int note)
{
  int n = 1;
  while (note + n < p->notes && p->note[note + n].at == p->note[note].at) {
    ++n;
  }
  return n;
}

static int32_t
bar_end(const RlAbcWriter *const w)
{
  return !w->bar ? INT_MAX : w->at < 0 ? 0 : (w->at / w->bar + 1) * w->bar;
}

static RlPiece
piece_next(const RlAbcWriter *const w)
{
  const RlPhrase *const p    = w->phrase;
  RlPiece               next = {w->at, earlier(bar_end(w), p->lasts), w->note, 0, false, false};
  for (int i = w->chord; i < p->chords && i <= w->chord + 1; ++i) {
    next.to = p->chord[i].at > w->at ? earlier(next.to, p->chord[i].at) : next.to;
  }
  if (w->note == p->notes || p->note[w->note].at > w->at) {
    next.to = w->note < p->notes ? earlier(next.to, p->note[w->note].at) : next.to;
    return next;
  }
  const RlPhraseNote *const note = &p->note[w->note];
  next.count                     = together(p, w->note);
  next.to                        = earlier(next.to, note->at + note->lasts);
  next.begins                    = note->at == w->at;
  next.ends                      = note->at + note->lasts == next.to;
  return next;
}

static void
piece_pass(RlAbcWriter *const w, const RlPiece *const piece)
{
  const RlPhrase *const p = w->phrase;
  w->chord += w->chord < p->chords && p->chord[w->chord].at <= w->at;
  w->at = piece->to;
  while (w->note < p->notes && p->note[w->note].at + p->note[w->note].lasts <= w->at) {
    ++w->note;
  }
}

/* ---- notes ---- */

static RlDegree
degree_of(const RlQuality quality, const int semitones)
{
  const RlDegree tone = rl_quality_tone(quality, semitones);
  return tone < RL_DEGREES ? tone : rl_degree_plain(semitones);
}

static void
sign_write(RlAbcWriter *const w, const RlSpelling name)
{
  static const char *const signs[3] = {"_", "=", "^"};
  if (w->altered[name.letter] || name.alter != rl_abc_signature(w->key, name.letter)) {
    rl_text_add(w->text, signs[name.alter + 1]);
    w->altered[name.letter] = true;
  }
}

static void
letter_write(RlAbcWriter *const w, const int letter, const int octave)
{
  const char name[2] = {(octave > 0 ? "cdefgab" : "CDEFGAB")[letter], '\0'};
  rl_text_add(w->text, name);
  for (int i = 1; i < octave; ++i) {
    rl_text_add(w->text, "'");
  }
  for (int i = octave; i < 0; ++i) {
    rl_text_add(w->text, ",");
  }
}

static void
note_write(RlAbcWriter *const w, const RlPhraseNote *const note)
{
  const RlPhrase *const p       = w->phrase;
  const RlChord         concert = p->chord[note->chord].chord;
  const RlWritten       root    = rl_abc_chord_moved(concert, w->key, -p->transpose).root;
  const RlDegree        degree  = degree_of(concert.quality, note->above);
  const RlSpelling      name    = rl_degree_spelling(degree, (RlSpelling){root.step, root.alter});
  const int             white   = rl_spelling_class((RlSpelling){name.letter, 0});
  const int octave = (rl_phrase_pitch(p, note) - p->transpose - name.alter - white - MIDDLE_C) / 12;
  sign_write(w, name);
  letter_write(w, name.letter, octave);
}

static void
notes_write(RlAbcWriter *const w, const RlPiece *const piece)
{
  rl_text_add(w->text, !piece->count ? "z" : piece->count > 1 ? "[" : "");
  for (int i = 0; i < piece->count; ++i) {
    note_write(w, &w->phrase->note[piece->note + i]);
  }
  rl_text_add(w->text, piece->count > 1 ? "]" : "");
}

/* ---- lengths ---- */

/* The tuplet that such a length belongs to: how many notes in the time of a power of two; 1 for a
   plain length. */
static int32_t
tuplet_of(const int32_t ticks)
{
  return ODD / divisor(ticks, ODD);
}

static int32_t
tuplet_time(const int32_t tuplet)
{
  int32_t time = 1;
  while (2 * time < tuplet) {
    time *= 2;
  }
  return time;
}

static void
length_write(RlAbcWriter *const w, const RlPiece *const piece)
{
  const int32_t tuplet = tuplet_of(piece->to - piece->from);
  const int32_t num = (piece->to - piece->from) / (ODD / tuplet); /* ticks times tuplet, over ODD */
  const int32_t den = UNIT / ODD * tuplet_time(tuplet);
  const int32_t both = divisor(num, den);
  if (num / both != 1) {
    rl_text_add_int(w->text, num / both);
  }
  if (den / both != 1) {
    rl_text_add(w->text, "/");
    if (den / both != 2) {
      rl_text_add_int(w->text, den / both);
    }
  }
}

/* How many pieces from here on belong to the same tuplet: until together they make a plain length,
   or the bar ends. */
static int
tuplet_count(RlAbcWriter w, const int32_t tuplet)
{
  const int32_t from  = w.at;
  const int32_t end   = earlier(bar_end(&w), w.phrase->lasts);
  int           count = 0;
  while (w.at < end && count < TUPLET_MAX && (!count || tuplet_of(w.at - from) != 1)) {
    const RlPiece piece = piece_next(&w);
    if (tuplet_of(piece.to - piece.from) != tuplet) {
      break;
    }
    piece_pass(&w, &piece);
    ++count;
  }
  return count;
}

/* `(3`, `(5:4:3`. */
static void
tuplet_write(RlAbcWriter *const w, const RlPiece *const piece)
{
  const int32_t tuplet = tuplet_of(piece->to - piece->from);
  if (w->tuplet || tuplet == 1) {
    w->tuplet -= w->tuplet > 0;
    return;
  }
  w->tuplet = tuplet_count(*w, tuplet);
  rl_text_add(w->text, "(");
  rl_text_add_int(w->text, tuplet);
  if (tuplet != 3 || w->tuplet != 3) {
    rl_text_add(w->text, ":");
    rl_text_add_int(w->text, tuplet_time(tuplet));
    rl_text_add(w->text, ":");
    rl_text_add_int(w->text, w->tuplet);
  }
  --w->tuplet;
}

/* ---- signs around notes ---- */

static void
chord_write(RlAbcWriter *const w)
{
  const RlPhrase *const p = w->phrase;
  if (w->chord == p->chords || p->chord[w->chord].at > w->at) {
    return;
  }
  const RlChord   chord   = rl_abc_chord_moved(p->chord[w->chord].chord, w->key, -p->transpose);
  const RlHarmony harmony = rl_harmony_of(chord, p->key);
  rl_text_add(w->text, "\"");
  rl_harmony_name(&harmony, w->text);
  rl_text_add(w->text, "\"");
}

/* Is the note slurred into the next one? The last never is. */
static bool
slurred(const RlAbcWriter *const w, const RlPiece *const piece)
{
  const RlPhrase *const p = w->phrase;
  return piece->count && piece->note + piece->count < p->notes &&
         (p->note[piece->note].articulation & RL_ARTICULATION_SLUR);
}

static void
articulation_write(RlAbcWriter *const w, const RlPiece *const piece)
{
  const unsigned articulation = piece->begins ? w->phrase->note[piece->note].articulation : 0;
  if (piece->begins && slurred(w, piece) && !w->slur) {
    rl_text_add(w->text, "(");
    w->slur = true;
  }
  rl_text_add(w->text, articulation & RL_ARTICULATION_SCOOP ? "!slide!" : "");
  rl_text_add(w->text, articulation & RL_ARTICULATION_BEND ? "\"^bend\"" : "");
  rl_text_add(w->text, articulation & RL_ARTICULATION_FALL ? "\"^fall\"" : "");
}

static void
end_write(RlAbcWriter *const w, const RlPiece *const piece)
{
  if (piece->count && !piece->ends) {
    rl_text_add(w->text, "-");
  }
  if (w->slur && piece->ends && !slurred(w, piece)) {
    rl_text_add(w->text, ")");
    w->slur = false;
  }
}

/* A bar line where a bar ends, else a space between beats. */
static void
bar_line_write(RlAbcWriter *const w)
{
  const int32_t into = w->bar && w->at >= 0 ? w->at % w->bar : w->at;
  if (w->at == -w->phrase->pickup) {
    return;
  }
  if (w->bar && !into) {
    rl_text_add(w->text, w->at && w->at / w->bar % BARS_A_LINE == 0 ? "|\n" : "|");
    for (int i = 0; i < 7; ++i) {
      w->altered[i] = false;
    }
  } else if (w->beat && !w->tuplet && into % w->beat == 0) {
    rl_text_add(w->text, " ");
  }
}

static void
music_write(RlAbcWriter *const w)
{
  while (w->at < w->phrase->lasts) {
    const RlPiece piece = piece_next(w);
    bar_line_write(w);
    chord_write(w);
    tuplet_write(w, &piece);
    articulation_write(w, &piece);
    notes_write(w, &piece);
    length_write(w, &piece);
    end_write(w, &piece);
    piece_pass(w, &piece);
  }
  rl_text_add(w->text, "|]\n");
}

/* ---- the header ---- */

static void
title_write(RlText *const text, const char *const title)
{
  rl_text_add(text, "T:");
  for (const char *c = title; *c; ++c) {
    rl_text_add(text, *c == '%' ? "\\" : "");
    rl_text_add_slice(text, (RlSlice){c, 1});
  }
  rl_text_add(text, "\n");
}

static void
meter_write(RlText *const text, const RlPhrase *const p)
{
  if (!p->meter_unit) {
    rl_text_add(text, "M:none\n");
    return;
  }
  rl_text_add(text, "M:");
  rl_text_add_int(text, p->meter_beats);
  rl_text_add(text, "/");
  rl_text_add_int(text, p->meter_unit);
  rl_text_add(text, "\n");
}

static void
tempo_write(RlText *const text, const double tempo)
{
  const int64_t parts = (int64_t)(tempo * TEMPO_PARTS + 0.5);
  int64_t       rest  = parts % TEMPO_PARTS;
  if (!parts) {
    return;
  }
  rl_text_add(text, "Q:1/4=");
  rl_text_add_int(text, parts / TEMPO_PARTS);
  rl_text_add(text, rest ? "." : "");
  for (int64_t digit = TEMPO_PARTS / 10; rest; digit /= 10) {
    rl_text_add_int(text, rest / digit);
    rest %= digit;
  }
  rl_text_add(text, "\n");
}

static void
key_write(RlText *const text, const RlAbcKey key, const int transpose)
{
  static const char *const modes[7] = {"", "dor", "phr", "lyd", "mix", "m", "loc"};
  rl_text_add(text, "K:");
  rl_spelling_write(key.tonic, text);
  rl_text_add(text, modes[key.mode]);
  if (transpose) {
    rl_text_add(text, " transpose=");
    rl_text_add_int(text, transpose);
  }
  rl_text_add(text, "\n");
}

void
rl_abc_write(const RlPhrase *const p, RlText *const text)
{
  assert(p->notes && p->chords);
  RlAbcWriter w = {.phrase = p, .text = text, .at = -p->pickup};
  w.key         = rl_abc_key_moved((RlAbcKey){p->key.tonic, p->mode}, -p->transpose);
  if (p->meter_unit) {
    /* 6/4 too is spaced by threes */
    w.beat = RL_ABC_WHOLE_TICKS / p->meter_unit * (rl_meter_in_threes(p->meter_beats) ? 3 : 1);
    w.bar  = RL_ABC_WHOLE_TICKS / p->meter_unit * p->meter_beats;
  }
  rl_text_add(text, "%abc-2.1\nX:1\n");
  title_write(text, p->title);
  rl_text_add(text, p->fields);
  meter_write(text, p);
  rl_text_add(text, "L:1/8\n");
  tempo_write(text, p->tempo);
  key_write(text, w.key, p->transpose);
  music_write(&w);
}

RlSlice
rl_abc_tune(const RlPhrase *const p, RlText *const text)
{
  rl_abc_write(p, text);
  const RlSlice all = {text->to, text->used};
  return rl_slice_after(all, rl_slice_until(all, "\n") + 1);
}
