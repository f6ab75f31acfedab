/* SPDX-License-Identifier: ISC */
/* What a phrase has no room for, counted and in words. */
#include "core/abc/reader.h"

#include <string.h>

void
rl_abc_left(RlAbcReader *const r, const RlAbcLeft kind, const char *const at)
{
  if (r->left && (!r->counted || at >= r->counted) && r->left->count[kind] < UINT16_MAX) {
    ++r->left->count[kind];
  }
}

static const char *const ornaments[] = {"trill",
                                        "trill(",
                                        "trill)",
                                        "lowermordent",
                                        "uppermordent",
                                        "mordent",
                                        "pralltriller",
                                        "roll",
                                        "turn",
                                        "turnx",
                                        "invertedturn",
                                        "invertedturnx",
                                        "arpeggio",
                                        "~",
                                        "T",
                                        "M",
                                        "P",
                                        "R"};
static const char *const jumps[]     = {"D.C.",       "D.S.",  "dacapo",     "dacoda",     "fine",
                                        "coda",       "segno", "D.C.alcoda", "D.C.alfine", "D.S.alcoda",
                                        "D.S.alfine", "O",     "S"};

static bool
named(const char *const *const names, const size_t count, const RlSlice name)
{
  for (size_t i = 0; i < count; ++i) {
    if (rl_slice_is(name, names[i])) {
      return true;
    }
  }
  return false;
}

void
rl_abc_left_decoration(RlAbcReader *const r, const RlSlice name)
{
  const bool ornament = named(ornaments, sizeof(ornaments) / sizeof(ornaments[0]), name);
  const bool jump     = named(jumps, sizeof(jumps) / sizeof(jumps[0]), name);
  rl_abc_left(r, ornament ? RL_ABC_ORNAMENTS : jump ? RL_ABC_JUMPS : RL_ABC_MARKS, name.at);
}

/* The same bar may be told twice, where it is played twice. */
void
rl_abc_left_bar(RlAbcReader *const r, const RlAbcMark mark)
{
  RlAbcLeftOut *const left = r->left;
  if (left && !left->count[RL_ABC_BARS]) {
    left->bar_line   = mark.line;
    left->bar_column = mark.column;
  } else if (!left || (left->bar_line == mark.line && left->bar_column == mark.column)) {
    return;
  }
  rl_abc_left(r, RL_ABC_BARS, r->text.at + r->text.length);
}

/* ---- words ---- */

static const struct {
  const char *one, *more;
} names[RL_ABC_LEFT_KINDS] = {
  [RL_ABC_ORNAMENTS] = {"an ornament", " ornaments"},
  [RL_ABC_MARKS]     = {"a playing mark", " playing marks"},
  [RL_ABC_GRACES]    = {"a grace note", " grace notes"},
  [RL_ABC_TEXTS]     = {"a text in quotes", " texts in quotes"},
  [RL_ABC_CHORDS]    = {"a chord symbol", " chord symbols"},
  [RL_ABC_WORDS]     = {"a line of words", " lines of words"},
  [RL_ABC_LINES]     = {"a line of information", " lines of information"},
  [RL_ABC_SLURS]     = {"a slur", " slurs"},
  [RL_ABC_TIES]      = {"a tie", " ties"},
  [RL_ABC_TONES]     = {"the lowest note of a chord", " low notes of chords"},
  [RL_ABC_TITLES]    = {"the end of the title", " ends of titles"},
  [RL_ABC_TEMPOS]    = {"a change of tempo", " changes of tempo"},
  [RL_ABC_JUMPS]     = {"a jump such as D.C.", " jumps such as D.C."},
};

static const struct {
  RlAbcLeft   kind;
  const char *words;
} clauses[] = {
  {RL_ABC_KEYS, "the key changes inside; the first one counts"},
  {RL_ABC_METERS, "the meter changes inside; the first one counts"},
  {RL_ABC_REPEATS, "no room for the repeats: each part stands once; make several phrases of it"},
};

static void
clause_begin(RlText *const text)
{
  rl_text_add(text, text->used ? "; " : "");
}

int
rl_abc_left_things(const RlAbcLeftOut *const left)
{
  int things = left->count[RL_ABC_REPEATS];
  for (int i = 0; i < RL_ABC_LEFT_KINDS; ++i) {
    things += names[i].one ? left->count[i] : 0;
  }
  return things;
}

/* `3 ornaments, a slur and a grace note left out`. */
static void
list_write(const RlAbcLeftOut *const left, RlText *const text)
{
  int kinds = 0;
  for (int i = 0; i < RL_ABC_LEFT_KINDS; ++i) {
    kinds += left->count[i] && names[i].one;
  }
  for (int i = 0; i < RL_ABC_LEFT_KINDS && kinds; ++i) {
    if (!left->count[i] || !names[i].one) {
      continue;
    }
    if (left->count[i] > 1) {
      rl_text_add_int(text, left->count[i]);
    }
    rl_text_add(text, left->count[i] > 1 ? names[i].more : names[i].one);
    --kinds;
    rl_text_add(text, kinds > 1 ? ", " : kinds ? " and " : " left out");
  }
}

void
rl_abc_left_write(const RlAbcLeftOut *const left, RlText *const text)
{
  list_write(left, text);
  for (size_t i = 0; i < sizeof(clauses) / sizeof(clauses[0]); ++i) {
    if (left->count[clauses[i].kind]) {
      clause_begin(text);
      rl_text_add(text, clauses[i].words);
    }
  }
  if (left->count[RL_ABC_BARS]) {
    clause_begin(text);
    rl_text_add(text, "the bar at line ");
    rl_text_add_int(text, left->bar_line);
    rl_text_add(text, ", column ");
    rl_text_add_int(text, left->bar_column);
    rl_text_add(text, left->count[RL_ABC_BARS] > 1 ? " and others do not fill their meter"
                                                   : " does not fill its meter");
  }
}
