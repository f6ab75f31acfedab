/* SPDX-License-Identifier: ISC */
/* The sheet from inside: what its files share. */
#ifndef RL_UI_PAPER_INSIDE_H
#define RL_UI_PAPER_INSIDE_H

#include "ui/paper/sheet.h"

#include "core/arrange/rhythm.h"
#include "core/harmony/lamps.h"

/* ---- song.c: which bars there are, and what sounds in them ---- */

/* Notes that begin at once. */
typedef struct {
  RlSound  sound;                    /* of the bar */
  uint16_t note[RL_PHRASE_TOGETHER]; /* in RlLane.note */
  uint8_t  notes;
} RlPaperSound;

/* A bar of the sheet. Numbers go on in the ending; those before bar 1 are negative. */
typedef struct {
  RlPlace place;    /* in chorus 1, or where the ending is */
  double  from, to; /* ticks from the first beat of bar 1 in chorus 1 */
} RlPaperBar;

/* How many bars before bar 1 have notes in them, or lie between those and bar 1. */
int rl_paper_before(const RlSheet *sheet);

/* The n-th bar from bar 1 on (0), or before it (-1). */
RlPaperBar rl_paper_bar(const RlSheet *sheet, int n);

/* What sounds in a bar in a chorus (from 1; of no account outside the chorus): up to
   RL_SOUNDS_MAX. Returns how many. */
int rl_paper_sounds(const RlSheet *sheet, const RlPaperBar *bar, int chorus, RlPaperSound *sounds);

enum { RL_VERSIONS_MAX = RL_PLAN_CHORUSES + 2 };

/* What one row of bars sounds like, and in which choruses. */
typedef struct {
  int  chorus;    /* one of them */
  char name[160]; /* `choruses 1 3`; empty: in all */
} RlVersion;

/* The versions of `count` bars from the n-th on that have notes. */
int rl_paper_versions(const RlSheet *sheet, int n, int count, RlVersion *versions);

/* ---- flow.c: pages ---- */

typedef struct {
  const RlSheet *sheet;
  RlPaint        paint; /* `cr` NULL: only counted */
  RlRect         text;  /* where something may stand */
  double         y;
  double         tight; /* 1: roomy; less: the gaps are so much of it */
  int            page, wanted;
} RlFlow;

/* A box of that height, below all that stands there already or on a new page. Is it to be drawn? */
bool rl_flow_reserve(RlFlow *flow, double height, RlRect *box);

/* A paragraph across the page. */
void rl_flow_words(RlFlow *flow, double size, const char *words);

/* ---- the blocks ---- */

void rl_paper_head(RlFlow *flow);
void rl_paper_rows(RlFlow *flow);
void rl_paper_reading(RlFlow *flow); /* how the tab is read; where each phrase comes from */
void rl_paper_combs(RlFlow *flow);

/* ---- bar.c: one bar's notes ---- */

enum { RL_SLOTS_MAX = RL_SYMBOLS_MAX + 4 * RL_BAR_BEATS_MAX };

/* A place in a bar where something stands: a symbol, a word of the count, or both. */
typedef struct {
  int32_t at;
  int16_t symbol; /* -1: none begins here */
  int16_t sound;  /* index of a sound that begins here, -1: none */
  uint8_t beat, parts, part;
  bool    counted;
  double  needs, x, w; /* points: what stands there is that wide; its slot's left edge and width */
} RlSlot;

typedef struct {
  const RlSheet *sheet;
  RlPaperBar     bar;
  RlPaperSound   sound[RL_SOUNDS_MAX];
  RlSymbol       symbol[RL_SYMBOLS_MAX];
  RlSlot         slot[RL_SLOTS_MAX];
  int            sounds, symbols, slots;
  double         shrink; /* of all its words, where the cell is too narrow */
} RlBarNotes;

/* Works out a bar's notes; its slots stand nowhere yet. About 90 KiB. */
void rl_bar_notes(const RlSheet *sheet, const RlPaperBar *bar, int chorus, RlBarNotes *notes);

/* How wide it would have to be for nothing to shrink, in points. */
double rl_bar_needs(const RlBarNotes *notes);

/* Draws it into a cell `RL_STRIP_HIGH` high. */
void rl_bar_draw(const RlPaint *paint, RlBarNotes *notes, RlRect cell);

enum { RL_STRIP_HIGH = 76, RL_TAB_TOP = 31, RL_TAB_LINE = 43, RL_TAB_FOOT = 55 };

/* Holes that are blown, or drawn, of a sound: `2+3`. Empty where there are none. */
void rl_bar_figures(const RlLane *lane, const RlPaperSound *sound, bool draws, RlText *text);

/* ---- notes.c: their shapes ---- */

/* Draws the symbols of a bar from `top` down to the tab. */
void rl_notes_draw(const RlPaint *paint, const RlBarNotes *notes, double top, RlRect cell);

/* ---- words ---- */

void rl_paper_write(const RlPaint *paint, RlRect box, double size, RlCut cut, RlAlign align,
                    const char *text);
void rl_paper_line(const RlPaint *paint, double x, double y, double to_x, double to_y,
                   double width);
void rl_paper_dot(const RlPaint *paint, double x, double y, double r, RlInk ink);
enum { RL_PAPER_WORDS = 512 };

/* About how wide words are, so that pages can be counted without a font. */
double rl_paper_about(const char *text, double size);

/* `low C harp, 2nd position`. */
void rl_paper_harp(const RlSheet *sheet, RlText *text);

/* A chord by letter or by degree, with music signs. */
void rl_paper_chord(const RlSheet *sheet, RlChord chord, bool degree, RlText *text);

#endif
