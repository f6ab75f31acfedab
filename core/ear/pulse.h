/* SPDX-License-Identifier: ISC */
/* Where beats lie, by what surrounds them for some seconds: a net of dilated convolutions over what
   22 bands of sound do, 50 frames a second, that looks both ways. The family is that of Davies and
   Boeck, "Temporal convolutional networks for musical audio beat tracking", EUSIPCO 2019 (from
   memory); size, bands, outputs and what it learned from are our own (tests/ear/follow/README.md).
   No heap; any thread but audio. */
#ifndef RL_CORE_EAR_PULSE_H
#define RL_CORE_EAR_PULSE_H

enum {
  RL_PULSE_BANDS  = 22,
  RL_PULSE_FRAMES = 50, /**< a second: each is two hops of RlHearing */
  RL_PULSE_ROOM   = 32  /**< floats of scratch memory for a frame */
};

/** What it tells. */
typedef enum {
  RL_PULSE_BEAT, /**< a felt beat begins */
  RL_PULSE_HALF, /**< the middle between two */
  RL_PULSE_BAR,  /**< a bar begins */
  RL_PULSE_WORDS
} RlPulseWord;

/** Reads them all, at least one. `fine`: as RlHeard, means of two hops. `memory`: RL_PULSE_ROOM
    floats for each. `word`: by how many nepers each is likelier in a frame than in the four seconds
    about it. */
void rl_pulse_read(const float (*fine)[RL_PULSE_BANDS], int frames, void *memory,
                   float (*word)[RL_PULSE_WORDS]);

#endif
