/* SPDX-License-Identifier: ISC */
/* A synthetic horn, and a line of two bars that it plays: what lifting is tested with. */
#ifndef HORN_H
#define HORN_H

#include <stddef.h>

enum { HORN_NOTES = 9, HORN_TEMPO = 120 };

/** Twelfths of the beat from bar 1, length, MIDI number: a line over G7, with a rest and a note
    again. Swung: the off-beat of eight twelfths lies at two thirds. */
extern const int horn_line[HORN_NOTES][3];

/** Seconds at which a note begins and ends. */
double horn_on(int note);
double horn_off(int note);

/** Adds a tone of twelve partials, 10 cents of vibrato; `fall`: dB an octave. The ear takes what
    neither moves nor hisses for a key held down. */
void horn_tone(float *sound, double rate, double on, double off, double midi, double loud,
               double fall);

/** The same of any number of partials, none of them moving. */
void horn_steady(float *sound, double rate, double on, double off, double midi, double loud,
                 double fall, int partials);

/** Adds what a quiet recording hisses. */
void horn_hiss(float *sound, size_t frames);

/** Five seconds: the line, `left` and `right` loud, over a pad of strings and noise, `band` loud.
    Interleaved; free() it. */
float *horn_record(double rate, double left, double right, double band, size_t *frames);

#endif
