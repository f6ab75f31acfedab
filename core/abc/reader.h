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
  RlAbcNote   note[RL_PHRASE_TOGETHER + 1];  /* one more while it is being read */
  uint8_t     pitch[RL_PHRASE_TOGETHER + 1]; /* concert, MIDI; ascending */
  RlAbcLength length;
} RlAbcStack;

/* What the music is read by; fields inside it change this, a repeat begins with what it was. */
typedef struct {
  int8_t  sign[7];                        /* of the key, by letter */
  int     octave, clef_octave, transpose; /* octave=, the 8 at the clef, transpose= */
  int32_t unit;                           /* ticks of L:, 0 until it is known */
  int32_t bar;                            /* ticks, 0: free */
  uint8_t meter_beats, meter_unit;
} RlAbcRules;

/* A place to go on from. */
typedef struct {
  int         line;
  const char *line_at, *at; /* `at` NULL: none */
} RlAbcPlace;

enum { RL_ABC_PARTS_MAX = 64 };

/* The parser's state. */
typedef struct {
  RlPhrase     *phrase;
  RlAbcError   *error;
  RlAbcLeftOut *left;    /* NULL: nobody asks */
  RlSlice       text;    /* all of it */
  const char   *counted; /* up to here it is counted already what is left out */
  int           line;
  const char   *line_at; /* where that line begins */
  /* the order of play */
  RlAbcPlace jump;         /* goes on there instead of here */
  RlAbcPlace from, body;   /* where the repeat begins, and the music */
  RlAbcRules before, head; /* what was in force there, and at the beginning */
  int        pass, times;
  unsigned   endings;                 /* seen in this repeat, a bit each */
  bool       once, jumped;            /* repeats are not played; one was */
  bool       full;                    /* it failed for want of room */
  char       parts[RL_ABC_PARTS_MAX]; /* the order of P: */
  int        part;                    /* the next of them */
  RlSlice    voice;                   /* the only one */
  bool       free_text;               /* between %%begin… and %%end… */
  /* the header */
  unsigned   seen; /* fields that may come once, a bit each */
  bool       in_body, ended, no_key, done;
  RlAbcRules rules;
  RlAbcKey   key;        /* as written */
  int64_t    tempo;      /* millionths of a beat a minute */
  int32_t    tempo_beat; /* ticks, 0: a unit */
  RlAbcMark  tempo_mark;
  /* bars */
  int32_t   now, bar_from; /* ticks */
  int32_t   first_bar;     /* ticks, if it is short; 0 if not */
  int32_t   grid, phase;   /* a bar begins at grid; how far behind one the last bar line stood */
  int       bars;
  bool      is_short;   /* the last bar was; it is told once another follows */
  bool      at_section; /* it ended a section; it is told if the next one does not fill it up */
  RlAbcMark bar_mark, short_mark;
  bool      altered[7]; /* by letter, since the bar line */
  int       alter[7];
  /* the last thing that takes time */
  RlAbcStack last;
  int        first;             /* its notes in the phrase, if it has any */
  int        onset;             /* of the last that had some, -1: none */
  int32_t    length, base;      /* ticks; before broken rhythm */
  bool       breakable, broken; /* > may follow; one did */
  /* begun and not yet ended */
  bool        tie, slur;
  int         slur_from, slurs; /* slurs open inside it */
  int         tuplet_left, tuplet_p, tuplet_q;
  RlAbcLength rhythm; /* num 0: none */
  RlAbcMark   tuplet_mark, rhythm_mark;
  /* for the next note */
  unsigned  articulation;
  bool      has_chord;
  RlChord   chord;
  RlAbcMark chord_mark;
} RlAbcReader;

/* ---- errors: error.c ---- */

/* Stores the error at a place of the text; returns false. `quoted` is cut if it is long. */
bool rl_abc_fail(RlAbcReader *r, RlAbcMark mark, const char *reason);
bool rl_abc_fail_with(RlAbcReader *r, RlAbcMark mark, const char *before, RlSlice quoted,
                      const char *after);

/* ---- what is left out: left.c; the browser's build counts nothing ---- */

/* Counts one of a kind; `at` is where it stands in the text. */
void rl_abc_left(RlAbcReader *r, RlAbcLeft kind, const char *at);

/* A decoration, by its letter or by its name without the signs around it. */
void rl_abc_left_decoration(RlAbcReader *r, RlSlice name);

/* A bar of another length than its meter's. */
void rl_abc_left_bar(RlAbcReader *r, RlAbcMark mark);

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

/* The value of K:, above the music or inside it. */
bool rl_abc_key_field(RlAbcReader *r, RlSlice value);

/* The key and transpose= are known, or have changed, at `at`: `before` was in force. */
void rl_abc_key_settle(RlAbcReader *r, const RlAbcRules *before, const char *at);

/* ---- clefs: clef.c ---- */

typedef enum {
  RL_ABC_SPECIFIER_NONE,
  RL_ABC_SPECIFIER_READ, /* the rules say what it says; some change nothing that sounds */
  RL_ABC_SPECIFIER_WRONG /* a number out of range: nothing has changed */
} RlAbcSpecifier;

/* A word of K: or V: that says where notes stand or sound. */
RlAbcSpecifier rl_abc_specifier(RlAbcReader *r, RlSlice word);

/* ---- the order of play: repeats.c ---- */

/* A bar line of any kind, with repeats; bytes read, 0 on error. */
size_t rl_abc_bar_line(RlAbcReader *r, RlSlice rest);

/* The number of an ending, at its first figure. */
size_t rl_abc_ending(RlAbcReader *r, RlSlice rest);

/* Where the music goes on; a repeat without a sign of its own begins here. */
void rl_abc_section(RlAbcReader *r, const char *at);

/* P: above the music: the order of its parts, `AABB` or `A2.B2`; any other is left out. */
bool rl_abc_parts_order(RlAbcReader *r, RlSlice value);

/* P: in the music, or its end: the next part in order begins. */
void rl_abc_part_next(RlAbcReader *r);

/* ---- the parts of the parser; false: failed, and the error is filled in ---- */

/* fields.c: a field, above the music up to K:, or inside it. */
bool rl_abc_field(RlAbcReader *r, RlSlice line);

/* Is it `X:…`, a letter and a colon? */
bool rl_abc_is_field(RlSlice line);

/* tempo.c: the value of Q:; and in quarter notes, once M: and L: are known. */
bool rl_abc_tempo_field(RlAbcReader *r, RlSlice value);
bool rl_abc_tempo_finish(RlAbcReader *r);

/* fields.c: `6/8`, all of it; false if it is not two numbers. */
bool rl_abc_fraction(RlSlice text, int *num, int *den);

/* music.c: a line of music; and its end, when all lines are read. */
bool rl_abc_music(RlAbcReader *r, RlSlice line);
bool rl_abc_music_end(RlAbcReader *r);

/* bars.c: a bar line; between sections the bars on both sides may be short. */
bool rl_abc_bar_close(RlAbcReader *r, bool section);

/* bars.c: `bars` bars of rest, Z at `at`. */
bool rl_abc_bars_rest(RlAbcReader *r, const char *at, int bars);

/* bars.c: a note, rest or stack, whose text begins at `mark` and ends before `end`. */
bool rl_abc_add(RlAbcReader *r, RlAbcMark mark, const char *end, const RlAbcStack *stack);

/* bars.c: `>` or `<` between two notes: the first is `first` of its length, the second the
   rest of two. */
bool rl_abc_break(RlAbcReader *r, RlAbcMark mark, RlAbcLength first);

/* notes.c: a note, a rest, `[` notes `]`. Bytes read, 0 on error. */
size_t rl_abc_note(RlAbcReader *r, RlSlice rest);
size_t rl_abc_rest(RlAbcReader *r, RlSlice rest);
size_t rl_abc_stack(RlAbcReader *r, RlSlice rest);

/* notes.c: `^`, `_b` and so on: reads an accidental from the front, if there is one. */
bool rl_abc_sign_read(RlSlice *rest, int *alter);

/* music.c: the first item of `rest`. Bytes read, 0 on error. */
size_t rl_abc_item(RlAbcReader *r, RlSlice rest);

#endif
