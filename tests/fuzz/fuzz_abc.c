/* SPDX-License-Identifier: ISC */
/* Feeds the ABC reader anything. What it reads must hang together, and be written so that it reads
   back as the same; what it refuses must be refused with a reason, a line and a column. A libFuzzer
   harness:

     clang -std=c11 -g -O1 -fsanitize=fuzzer,address,undefined -fno-sanitize-recover=all \
       tests/fuzz/fuzz_abc.c core/(all).c -lm -o fuzz_abc
     fuzz_abc -max_len=17000 CORPUS presets/phrases tests/core/abc/outside

   RL_PLANTED_BUG, defined for one build only, plants an off-by-one below, so that one can see the
   fuzzer find it: a fuzzer that finds nothing there finds nothing anywhere. */
#include "core/abc/abc.h"
#include "demand.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

static RlPhrase one, other;
static char     written[RL_ABC_MAX];

static RlAbcLeftOut left;

/* ---- what was refused ---- */

static void
error_check(const RlAbcError *const error, const RlSlice text)
{
  DEMAND(error->line >= 1 && error->line <= lines_in(text.at, text.length));
  DEMAND(error->column >= 1 && (size_t)error->column <= text.length + 1);
  DEMAND(memchr(error->reason, '\0', RL_ABC_REASON_SIZE));
  const size_t length = strlen(error->reason);
  DEMAND(length > 0 && length < RL_ABC_REASON_SIZE - 1); /* one byte less: nothing was cut */
  DEMAND(text.length > RL_ABC_MAX || rl_slice_bad_byte((RlSlice){error->reason, length}) < 0);
  char   buffer[RL_ABC_REASON_SIZE + 64];
  RlText message = rl_text_in(buffer, sizeof(buffer));
  rl_abc_error_write(error, &message);
  DEMAND(strncmp(buffer, "line ", 5) == 0 && message.used > length);
  DEMAND(strcmp(buffer + message.used - length, error->reason) == 0);
}

/* ---- what was read ---- */

static int32_t
bar_of(const RlPhrase *const p)
{
  return p->meter_unit ? 4 * RL_TICKS / p->meter_unit * p->meter_beats : 0;
}

static void
head_check(void)
{
  DEMAND(memchr(one.title, '\0', sizeof(one.title)));
  DEMAND(memchr(one.fields, '\0', sizeof(one.fields)));
  DEMAND(one.key.tonic.letter >= 0 && one.key.tonic.letter < 7);
  DEMAND(one.key.tonic.alter >= -1 && one.key.tonic.alter <= 1);
  DEMAND(one.mode < 7);
  DEMAND(one.key.minor == (one.mode == 1 || one.mode == 2 || one.mode == 5 || one.mode == 6));
  DEMAND(one.transpose >= -48 && one.transpose <= 48);
  DEMAND((one.meter_beats == 0) == (one.meter_unit == 0) && one.meter_beats <= 32);
  DEMAND(one.meter_unit <= 32 && (one.meter_unit & (one.meter_unit - 1)) == 0);
  DEMAND(one.tempo == 0 || (one.tempo >= 1 && one.tempo <= 9999));
  DEMAND(one.pickup == 0 || (one.pickup > 0 && one.pickup < bar_of(&one)));
  DEMAND(one.lasts >= 1);
  DEMAND(!bar_of(&one) || one.lasts <= RL_ABC_BARS_MAX * bar_of(&one));
}

static void
chords_check(void)
{
  DEMAND(one.chords >= 1 && one.chords <= RL_PHRASE_CHORDS_MAX);
  for (int i = 0; i < one.chords; ++i) {
    const RlPhraseChord *const chord = &one.chord[i];
    DEMAND(chord->at >= (i ? one.chord[i - 1].at + 1 : -one.pickup) && chord->at < one.lasts);
    DEMAND(chord->chord.quality != RL_QUALITY_NONE);
    DEMAND(chord->chord.root.letter && chord->chord.root.step >= 0 && chord->chord.root.step < 7);
    DEMAND(!chord->chord.has_bass || chord->chord.bass.letter);
  }
}

/* How many notes from `first` on begin at once. */
static int
together(const int first)
{
  int n = 1;
  while (first + n < one.notes && one.note[first + n].at == one.note[first].at) {
    ++n;
  }
  return n;
}

/* Copies the notes of an onset, as a solver does; the planted bug copies one more in a tune with a
   pickup only, past the end behind three at once. */
static void
onset_copy(const int first, const int count, RlPhraseNote *const to)
{
  for (int i = 0; i < count + PLANTED * (one.pickup > 0); ++i) {
    to[i] = one.note[first + i];
  }
}

static void
onset_check(const int first, const int count)
{
  DEMAND(count <= RL_PHRASE_TOGETHER);
  RlPhraseNote *const note = malloc(sizeof(RlPhraseNote) * RL_PHRASE_TOGETHER);
  DEMAND(note);
  onset_copy(first, count, note);
  for (int i = 0; i < count; ++i) {
    const int pitch = rl_phrase_pitch(&one, &note[i]);
    DEMAND(pitch >= 0 && pitch <= 127);
    DEMAND(i == 0 || pitch > rl_phrase_pitch(&one, &note[i - 1]));
    DEMAND(note[i].lasts == note[0].lasts && note[i].articulation == note[0].articulation);
    DEMAND(note[i].chord < one.chords);
    DEMAND(note[i].chord == 0 || one.chord[note[i].chord].at <= note[i].at);
    DEMAND(note[i].chord + 1 == one.chords || one.chord[note[i].chord + 1].at > note[i].at);
  }
  free(note);
}

/* One voice: each onset behind the end of the one before. */
static void
notes_check(void)
{
  int32_t end   = -one.pickup;
  int     count = 0;
  DEMAND(one.notes >= 1 && one.notes <= RL_PHRASE_NOTES_MAX);
  for (int i = 0; i < one.notes; i += count) {
    count = together(i);
    DEMAND(one.note[i].at >= end && one.note[i].lasts >= 1);
    end = one.note[i].at + one.note[i].lasts;
    DEMAND(end <= one.lasts);
    DEMAND(i + count < one.notes || !(one.note[i].articulation & RL_ARTICULATION_SLUR));
    onset_check(i, count);
  }
}

/* ---- there and back ---- */

static void
notes_same(void)
{
  for (int i = 0; i < one.chords; ++i) {
    DEMAND(one.chord[i].at == other.chord[i].at);
    DEMAND(rl_chord_same(one.chord[i].chord, other.chord[i].chord));
  }
  for (int i = 0; i < one.notes; ++i) {
    DEMAND(one.note[i].at == other.note[i].at && one.note[i].lasts == other.note[i].lasts);
    DEMAND(one.note[i].above == other.note[i].above &&
           one.note[i].articulation == other.note[i].articulation);
    DEMAND(one.note[i].chord == other.note[i].chord);
  }
}

static void
back_check(void)
{
  RlAbcError error;
  RlText     text = rl_text_in(written, sizeof(written));
  rl_abc_write(&one, &text);
  DEMAND(text.used < sizeof(written) - 1);
  DEMAND(rl_abc_read_counting((RlSlice){written, text.used}, &other, &left, &error));
  for (int i = 0; i < RL_ABC_LEFT_KINDS; ++i) {
    DEMAND(!left.count[i]);
  }
  DEMAND(!strcmp(one.title, other.title) && !strcmp(one.fields, other.fields));
  DEMAND(one.key.tonic.letter == other.key.tonic.letter);
  DEMAND(one.key.tonic.alter == other.key.tonic.alter && one.key.minor == other.key.minor);
  DEMAND(one.mode == other.mode && one.transpose == other.transpose);
  DEMAND(one.meter_beats == other.meter_beats && one.meter_unit == other.meter_unit);
  DEMAND(one.tempo == other.tempo && one.pickup == other.pickup && one.lasts == other.lasts);
  DEMAND(one.notes == other.notes && one.chords == other.chords);
  notes_same();
}

/* A book comes to its end, and all its tunes lie in it, one behind the other. */
static void
book_check(const RlSlice text)
{
  RlAbcBook   book = rl_abc_book(text);
  const char *end  = text.at;
  int         line = 0;
  for (RlSlice tune = rl_abc_next(&book); tune.length; tune = rl_abc_next(&book)) {
    DEMAND(tune.at >= end && tune.at + tune.length <= text.at + text.length);
    DEMAND(book.line > line);
    end  = tune.at + tune.length;
    line = book.line;
  }
}

/* Something left out is always something said, and nothing is said of what a phrase has room for.
 */
static void
left_check(void)
{
  char   buffer[1024];
  RlText text  = rl_text_in(buffer, sizeof(buffer));
  int    total = 0;
  for (int i = 0; i < RL_ABC_LEFT_KINDS; ++i) {
    total += left.count[i];
  }
  rl_abc_left_write(&left, &text);
  DEMAND((total > 0) == (text.used > 0) && text.used < sizeof(buffer) - 1);
}

int
LLVMFuzzerTestOneInput(const uint8_t *const data, const size_t size)
{
  RlAbcError    error;
  const RlSlice text = {size ? (const char *)data : "", size};
  memset(&error, 0xA5, sizeof(error));
  book_check(text);
  if (!rl_abc_read_counting(text, &one, &left, &error)) {
    error_check(&error, text);
    return 0;
  }
  left_check();
  head_check();
  chords_check();
  notes_check();
  back_check();
  return 0;
}
