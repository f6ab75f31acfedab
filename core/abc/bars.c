/* SPDX-License-Identifier: ISC */
#include "core/abc/reader.h"

#include <string.h>

/* ---- bars ---- */

/* Ticks of a bar of the phrase's own meter; 0: free. */
static int32_t
bar_ticks(const RlPhrase *const p)
{
  return p->meter_unit ? RL_ABC_WHOLE_TICKS / p->meter_unit * p->meter_beats : 0;
}

/* Do so many more ticks fit into the phrase? */
static bool
bars_fit(RlAbcReader *const r, const RlAbcMark mark, const int32_t ticks)
{
  const int32_t bar  = bar_ticks(r->phrase);
  const int32_t most = (RL_ABC_BARS_MAX - (r->first_bar > 0)) * bar;
  r->full            = bar ? r->now - r->first_bar > most - ticks : r->bars >= RL_ABC_BARS_MAX;
  return !r->full || rl_abc_fail(r, mark, "more than 128 bars; make several phrases of it");
}

static void
bar_open(RlAbcReader *const r, const RlAbcMark mark)
{
  if (r->is_short) {
    rl_abc_left_bar(r, r->short_mark);
    r->is_short = false;
  }
  r->bar_mark = mark;
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

/* Compares a bar's length with its meter. Where sections meet, two bars may share one. */
static void
bar_weigh(RlAbcReader *const r, const int32_t length, const bool section)
{
  const int32_t bar   = r->rules.bar;
  const int32_t phase = (r->now - r->grid) % bar;
  if (length > bar || (phase != r->phase && r->at_section)) {
    rl_abc_left_bar(r, length > bar ? r->bar_mark : r->short_mark);
  } else if (phase != r->phase) {
    r->is_short   = !section;
    r->short_mark = r->bar_mark;
  }
  r->at_section = section && length <= bar && phase != r->phase;
  r->phase      = r->at_section ? r->phase : phase;
}

bool
rl_abc_bar_close(RlAbcReader *const r, const bool section)
{
  const int32_t length = r->now - r->bar_from;
  r->breakable         = false;
  memset(r->altered, 0, sizeof(r->altered));
  if (!bar_whole(r)) {
    return false;
  }
  if (!length) {
    return true;
  }
  r->bar_from = r->now;
  if (!r->bars++ && length < r->rules.bar) {
    r->first_bar = length < bar_ticks(r->phrase) ? length : 0;
    r->grid      = r->now;
  } else if (r->rules.bar) {
    bar_weigh(r, length, section);
  }
  return true;
}

static bool
chord_add(RlAbcReader *const r)
{
  RlPhrase *const p = r->phrase;
  if (!r->has_chord) {
    return true;
  }
  if (p->chords == RL_PHRASE_CHORDS_MAX) {
    r->full = true;
    return rl_abc_fail(r, r->chord_mark, "more than 32 chord symbols; make several phrases of it");
  }
  const RlAbcKey concert = {p->key.tonic, p->mode};
  p->chord[p->chords++] =
    (RlPhraseChord){r->now, rl_abc_chord_moved(r->chord, concert, r->rules.transpose)};
  r->has_chord = false;
  return true;
}

/* What stands before a rest and belongs to a note is left out. */
static void
rest_begin(RlAbcReader *const r, const char *const at)
{
  if (r->tie) {
    rl_abc_left(r, RL_ABC_TIES, at);
  }
  if (r->articulation) {
    rl_abc_left(r, RL_ABC_ORNAMENTS, at);
  }
  r->tie          = false;
  r->articulation = 0;
}

bool
rl_abc_bars_rest(RlAbcReader *const r, const char *const at, const int bars)
{
  const RlAbcMark mark = rl_abc_mark(r, at);
  if (!r->rules.bar) {
    return rl_abc_fail(r, mark,
                       "Z rests for whole bars, and there is no meter; write z and a length");
  }
  if (r->now != r->bar_from) {
    return rl_abc_fail(r, mark, "Z rests for whole bars and stands alone in its bar; write z here");
  }
  if (r->tuplet_left || bars < 1 || bars > RL_ABC_BARS_MAX) {
    return rl_abc_fail(
      r, mark, "Z rests for up to 128 bars, and belongs to no group; write bars of z there");
  }
  bar_open(r, mark);
  rest_begin(r, at);
  if (!bars_fit(r, mark, bars * r->rules.bar) || !chord_add(r)) {
    return false;
  }
  r->bars += bars - 1;
  r->now += bars * r->rules.bar;
  r->bar_from   = r->now - r->rules.bar;
  r->last.count = 0;
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
  const int64_t num    = length.num * r->rules.unit * (tuplet ? r->tuplet_q : 1);
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

/* Lengthens the notes before by a tie, if these are the same. */
static bool
tied(RlAbcReader *const r, const char *const at, const RlAbcStack *const stack, const int32_t ticks)
{
  const bool same =
    stack->count == r->last.count && !memcmp(stack->pitch, r->last.pitch, (size_t)stack->count);
  r->tie = false;
  if (!same) {
    rl_abc_left(r, RL_ABC_TIES, at);
    return false;
  }
  if (r->articulation) { /* the note does not begin here */
    rl_abc_left(r, RL_ABC_ORNAMENTS, at);
  }
  r->articulation = 0;
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
    r->full = true;
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

bool
rl_abc_add(RlAbcReader *const r, const RlAbcMark mark, const char *const end,
           const RlAbcStack *const stack)
{
  int32_t base  = 0;
  int32_t ticks = 0;
  if (r->now == r->bar_from) {
    bar_open(r, mark);
  }
  if (!ticks_of(r, mark, stack->length, &base, &ticks) || !bars_fit(r, mark, ticks) ||
      !chord_add(r)) {
    return false;
  }
  if (!stack->count) {
    rest_begin(r, end);
  } else if (!(r->tie && tied(r, end, stack, ticks)) && !notes_add(r, mark, stack, ticks)) {
    return false;
  }
  r->now += ticks;
  r->last       = *stack;
  r->length     = ticks;
  r->base       = base;
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
