/* SPDX-License-Identifier: ISC */
#include "core/abc/reader.h"

#include <string.h>

/* ---- bars ---- */

/* Appends a length as a fraction of a whole note. */
static void
ticks_write(const int32_t ticks, RlText *const text)
{
  int32_t num = ticks;
  int32_t den = RL_ABC_WHOLE_TICKS;
  for (int32_t by = 2; by <= 7; ++by) {
    while (num % by == 0 && den % by == 0) {
      num /= by;
      den /= by;
    }
  }
  rl_text_add_int(text, num);
  rl_text_add(text, "/");
  rl_text_add_int(text, den);
}

static bool
length_fail(RlAbcReader *const r, const RlAbcMark mark, const int32_t length,
            const char *const way_out)
{
  char   buffer[RL_ABC_REASON_SIZE];
  RlText text = rl_text_in(buffer, sizeof(buffer));
  rl_text_add(&text, "the bar that begins here lasts ");
  ticks_write(length, &text);
  rl_text_add(&text, ", the meter is ");
  rl_text_add_int(&text, r->phrase->meter_beats);
  rl_text_add(&text, "/");
  rl_text_add_int(&text, r->phrase->meter_unit);
  rl_text_add(&text, way_out);
  return rl_abc_fail(r, mark, buffer);
}

static bool
bar_open(RlAbcReader *const r, const RlAbcMark mark)
{
  if (r->is_short) {
    return length_fail(r, r->short_mark, r->now - r->bar_from,
                       "; only the first and the last may be shorter: fill it with a rest z");
  }
  if (r->bars >= RL_ABC_BARS_MAX) {
    return rl_abc_fail(r, mark, "more than 128 bars; make several phrases of it");
  }
  r->bar_mark = mark;
  return true;
}

/* Is everything ended that may not cross a bar line? */
static bool
bar_whole(RlAbcReader *const r)
{
  if (r->rhythm.num) {
    return rl_abc_fail(r, r->rhythm_mark,
                       "no note after > or < in this bar; they stand between two notes; write the "
                       "lengths: a3/2 | b/2");
  }
  return !r->tuplet_left ||
         rl_abc_fail(r, r->tuplet_mark,
                     "the bar ends before the notes of this group; write (3abc or, "
                     "for fewer notes, (3:2:2a2b");
}

bool
rl_abc_bar_close(RlAbcReader *const r)
{
  const int32_t length = r->now - r->bar_from;
  r->breakable         = false;
  memset(r->altered, 0, sizeof(r->altered));
  if (!bar_whole(r)) {
    return false;
  }
  if (!length || r->is_short) {
    return true;
  }
  if (r->bar && length > r->bar) {
    return length_fail(r, r->bar_mark, length, "; put a bar line in it or shorten it");
  }
  if (length < r->bar && r->bars) {
    r->is_short   = true;
    r->short_mark = r->bar_mark;
    return true; /* bar_from stays, to say how long it is */
  }
  r->first_bar = length < r->bar ? length : r->first_bar;
  r->bar_from  = r->now;
  ++r->bars;
  return true;
}

bool
rl_abc_bars_rest(RlAbcReader *const r, const RlAbcMark mark, const int bars)
{
  if (!r->bar) {
    return rl_abc_fail(r, mark,
                       "Z rests for whole bars, and there is no meter; write z and a length");
  }
  if (r->now != r->bar_from && !r->is_short) {
    return rl_abc_fail(r, mark, "Z rests for whole bars and stands alone in its bar; write z here");
  }
  if (!bar_open(r, mark)) {
    return false;
  }
  if (r->has_chord || r->articulation || r->tie || r->tuplet_left || bars < 1 ||
      bars > RL_ABC_BARS_MAX - r->bars) {
    return rl_abc_fail(r, mark,
                       "Z rests for up to 128 bars, and has no chord symbol, tie or group; "
                       "write bars of z for those");
  }
  r->bars += bars - 1;
  r->now += bars * r->bar;
  r->bar_from = r->now - r->bar;
  return true;
}

/* ---- notes and rests ---- */

/* A fraction as whole ticks; 0 if it is not whole, or too long. */
static int32_t
whole_ticks(const int64_t num, const int64_t den)
{
  return num % den || num / den > RL_ABC_TICKS_MAX ? 0 : (int32_t)(num / den);
}

/* The length in ticks, without (`base`) and with broken rhythm. */
static bool
ticks_of(RlAbcReader *const r, const RlAbcMark mark, const RlAbcLength length, int32_t *const base,
         int32_t *const ticks)
{
  const bool    tuplet = r->tuplet_left > 0;
  const int64_t num    = length.num * r->unit * (tuplet ? r->tuplet_q : 1);
  const int64_t den    = length.den * (tuplet ? r->tuplet_p : 1);
  *base                = whole_ticks(num, den);
  *ticks               = r->rhythm.num ? whole_ticks(*base * r->rhythm.num, r->rhythm.den) : *base;
  if (!*base || !*ticks || r->now > RL_ABC_TICKS_MAX - *ticks) {
    return rl_abc_fail(r, mark,
                       "this length cannot be counted: a quarter note has 20160 ticks, a "
                       "tune at most 4096 whole notes; write a simpler one");
  }
  return !r->rhythm.num || *base == r->base ||
         rl_abc_fail(r, r->rhythm_mark,
                     "> and < stand between notes of the same length; write the "
                     "lengths: a3/2 b/2");
}

static bool
chord_add(RlAbcReader *const r)
{
  RlPhrase *const p = r->phrase;
  if (!r->has_chord) {
    return true;
  }
  if (p->chords == RL_PHRASE_CHORDS_MAX) {
    return rl_abc_fail(r, r->chord_mark, "more than 32 chord symbols; make several phrases of it");
  }
  const RlAbcKey concert = {p->key.tonic, p->mode};
  p->chord[p->chords++] =
    (RlPhraseChord){r->now, rl_abc_chord_moved(r->chord, concert, p->transpose)};
  r->has_chord = false;
  return true;
}

/* Lengthens the notes before by a tie, if these are the same. */
static bool
tied(RlAbcReader *const r, const RlAbcStack *const stack, const int32_t ticks)
{
  r->tie = false;
  if (stack->count != r->last.count ||
      memcmp(stack->pitch, r->last.pitch, (size_t)stack->count) != 0) {
    return rl_abc_fail(
      r, r->tie_mark,
      "this tie does not lead to the same note; for a different note write a slur: (ab)");
  }
  if (r->articulation) {
    return rl_abc_fail(r, r->articulation_mark,
                       "the note after this is tied to the one before and does not begin here; "
                       "write this before the first");
  }
  for (int i = 0; i < stack->count; ++i) {
    r->phrase->note[r->first + i].lasts += ticks;
  }
  return true;
}

static bool
notes_add(RlAbcReader *const r, const RlAbcMark mark, const RlAbcStack *const stack,
          const int32_t ticks)
{
  RlPhrase *const p = r->phrase;
  if (p->notes + stack->count > RL_PHRASE_NOTES_MAX) {
    return rl_abc_fail(r, mark, "more than 512 notes; make several phrases of it");
  }
  r->first = r->onset = p->notes;
  for (int i = 0; i < stack->count; ++i) {
    p->note[p->notes++] =
      (RlPhraseNote){r->now, ticks, stack->pitch[i], (uint8_t)(p->chords ? p->chords - 1 : 0),
                     (uint8_t)r->articulation};
  }
  r->articulation = 0;
  return true;
}

static bool
rest_add(RlAbcReader *const r)
{
  if (r->tie) {
    return rl_abc_fail(r, r->tie_mark,
                       "this tie leads to a rest; make the note longer, or leave it out");
  }
  return !r->articulation ||
         rl_abc_fail(r, r->articulation_mark, "this stands before a rest; put it before a note");
}

bool
rl_abc_add(RlAbcReader *const r, const RlAbcMark mark, const char *const end,
           const RlAbcStack *const stack)
{
  int32_t base  = 0;
  int32_t ticks = 0;
  if (((r->now == r->bar_from || r->is_short) && !bar_open(r, mark)) ||
      !ticks_of(r, mark, stack->length, &base, &ticks) || !chord_add(r)) {
    return false;
  }
  if (!(!stack->count ? rest_add(r)
        : r->tie      ? tied(r, stack, ticks)
                      : notes_add(r, mark, stack, ticks))) {
    return false;
  }
  r->now += ticks;
  r->last       = *stack;
  r->length     = ticks;
  r->base       = base;
  r->end        = end;
  r->breakable  = true;
  r->broken     = r->rhythm.num;
  r->rhythm.num = 0;
  r->tuplet_left -= r->tuplet_left > 0;
  return true;
}

bool
rl_abc_break(RlAbcReader *const r, const RlAbcMark mark, const RlAbcLength first)
{
  if (!r->breakable || r->broken || r->rhythm.num) {
    return rl_abc_fail(r, mark,
                       "> and < stand between two notes of a bar, and each note has one of "
                       "them; write a>b c>d");
  }
  const int32_t ticks = whole_ticks(r->base * first.num, first.den);
  if (!ticks) {
    return rl_abc_fail(r, mark, "these notes are too short for this; write their lengths");
  }
  const int32_t more = ticks - r->length;
  for (int i = 0; i < r->last.count; ++i) {
    r->phrase->note[r->first + i].lasts += more;
  }
  r->now += more;
  r->length      = ticks;
  r->rhythm      = (RlAbcLength){2 * first.den - first.num, first.den};
  r->rhythm_mark = mark;
  return true;
}
