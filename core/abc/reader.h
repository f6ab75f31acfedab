/* SPDX-License-Identifier: ISC */
/* Private to core/abc: the parser's state and parts, and what reading and writing share. */
#ifndef RL_CORE_ABC_READER_H
#define RL_CORE_ABC_READER_H

#include "core/abc/abc.h"

enum {
  RL_ABC_WHOLE_TICKS = 4 * RL_TICKS,              /* ticks in a whole note */
  RL_ABC_TICKS_MAX   = 4096 * RL_ABC_WHOLE_TICKS, /* of a whole tune: 128 bars of 32/1 */
  RL_ABC_NUMBER_MAX  = 1000000000                 /* in a length */
};

/* A place in the text. */
typedef struct {
  int line, column;
} RlAbcMark;

/* A key as it is written. */
typedef struct {
  RlSpelling tonic;
  int        mode; /* 0..6 from Ionian, as in RlPhrase */
} RlAbcKey;

/* A length as written, a fraction of the unit; both at least 1. */
typedef struct {
  int64_t num, den;
} RlAbcLength;

/* A note as written. */
typedef struct {
  int letter, octave, alter; /* 0..6 from C; octaves above the one from middle C up */
} RlAbcNote;

/* Notes at the same time as written; a rest if there are none. */
typedef struct {
  int         count;
  RlAbcNote   note[RL_PHRASE_TOGETHER];
  uint8_t     pitch[RL_PHRASE_TOGETHER]; /* concert, MIDI; ascending */
  RlAbcLength length;
} RlAbcStack;

/* The parser's state. */
typedef struct {
  RlPhrase   *phrase;
  RlAbcError *error;
  int         line;
  const char *line_at; /* where that line begins */
  /* the header */
  unsigned  seen; /* fields that may come once, a bit each */
  bool      in_body, ended, no_key;
  int       octave;
  int32_t   unit;       /* ticks of L:, 0 until it is known */
  int64_t   tempo;      /* millionths of a beat a minute */
  int32_t   tempo_beat; /* ticks, 0: a unit */
  RlAbcMark tempo_mark;
  RlAbcKey  key;
  /* bars */
  int32_t   now, bar_from, bar; /* ticks; how long a bar is, 0: free */
  int32_t   first_bar;          /* ticks, if it is short; 0 if not */
  int       bars;
  bool      is_short; /* the last bar was; nothing may follow */
  RlAbcMark bar_mark, short_mark;
  bool      altered[7]; /* by letter, since the bar line */
  int       alter[7];
  /* the last thing that takes time */
  RlAbcStack  last;
  int         first;             /* its notes in the phrase, if it has any */
  int         onset;             /* of the last that had some, -1: none */
  int32_t     length, base;      /* ticks; before broken rhythm */
  bool        breakable, broken; /* > may follow; one did */
  const char *end;               /* where its text ends */
  /* begun and not yet ended */
  bool        tie, slur;
  int         slur_from;
  int         tuplet_left, tuplet_p, tuplet_q;
  RlAbcLength rhythm; /* num 0: none */
  RlAbcMark   tie_mark, slur_mark, tuplet_mark, rhythm_mark;
  /* for the next note */
  unsigned  articulation;
  bool      has_chord;
  RlChord   chord;
  RlAbcMark articulation_mark, chord_mark;
} RlAbcReader;

/* ---- errors: error.c ---- */

/* Stores the error at a place of the text; returns false. `quoted` is cut if it is long. */
bool rl_abc_fail(RlAbcReader *r, RlAbcMark mark, const char *reason);
bool rl_abc_fail_with(RlAbcReader *r, RlAbcMark mark, const char *before, RlSlice quoted,
                      const char *after);

/* ---- lines: abc.c ---- */

/* The place of a byte of the line being read. */
RlAbcMark rl_abc_mark(const RlAbcReader *r, const char *at);

/* Reads digits from the front of `rest`: 0..999999999; -1 if there are none, or it is more. */
int rl_abc_digits(RlSlice *rest);

/* The first character of a text that has one. */
RlSlice rl_abc_character(RlSlice slice);

/* ---- keys: key.c ---- */

/* Sharps in the key signature; flats are negative. */
int rl_abc_sharps(RlAbcKey key);

/* The sign of a letter in the key signature: -1, 0, 1. */
int rl_abc_signature(RlAbcKey key, int letter);

/* The key so many semitones higher, by the name with the fewest signs; moved by octaves it stays
   as it is. */
RlAbcKey rl_abc_key_moved(RlAbcKey key, int semitones);

/* A chord so many semitones higher, its letters named by their degrees of `there`, the key moved
   likewise; moved by octaves it stays as it is. */
RlChord rl_abc_chord_moved(RlChord chord, RlAbcKey there, int semitones);

/* The value of K:. */
bool rl_abc_key_field(RlAbcReader *r, RlSlice value);

/* ---- the parts of the parser; false: failed, and the error is filled in ---- */

/* fields.c: a line of the header; K: ends it. */
bool rl_abc_field(RlAbcReader *r, RlSlice line);

/* Is it `X:…`, a letter and a colon? */
bool rl_abc_is_field(RlSlice line);

/* music.c: a line of music; and its end, when all lines are read. */
bool rl_abc_music(RlAbcReader *r, RlSlice line);
bool rl_abc_music_end(RlAbcReader *r);

/* bars.c: a bar line. */
bool rl_abc_bar_close(RlAbcReader *r);

/* bars.c: `bars` bars of rest, Z at `mark`. */
bool rl_abc_bars_rest(RlAbcReader *r, RlAbcMark mark, int bars);

/* bars.c: a note, rest or stack, whose text begins at `mark` and ends before `end`. */
bool rl_abc_add(RlAbcReader *r, RlAbcMark mark, const char *end, const RlAbcStack *stack);

/* bars.c: `>` or `<` between two notes: the first is `first` of its length, the second the
   rest of two. */
bool rl_abc_break(RlAbcReader *r, RlAbcMark mark, RlAbcLength first);

/* notes.c: a note, a rest, `[` notes `]`. Bytes read, 0 on error. */
size_t rl_abc_note(RlAbcReader *r, RlSlice rest);
size_t rl_abc_rest(RlAbcReader *r, RlSlice rest);
size_t rl_abc_stack(RlAbcReader *r, RlSlice rest);

#endif
