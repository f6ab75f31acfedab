/* SPDX-License-Identifier: ISC */
/* Follows a recording by its sound: the chords and meters of the form are known, the tempo, the
   place, the tuning and perhaps the key are not. Sound in, reports out. All of it lies in memory of
   the caller, who calls from one thread at a time; nothing here allocates, waits or locks. */
#ifndef RL_CORE_EAR_EAR_H
#define RL_CORE_EAR_EAR_H

#include "core/chart/form.h"
#include "core/ear/pulse.h"
#include "core/ear/sure.h"

typedef struct RlEar RlEar;

enum { RL_EAR_KEY_UNKNOWN = -1, RL_EAR_RATE_MIN = 22050, RL_EAR_RATE_MAX = 192000 };

/** What is believed at a frame; one comes every 20 ms. */
typedef struct {
  bool     fresh;
  uint64_t frame;              /**< of the sound taken so far: the one it is about */
  double   at;                 /**< felt beats from the form's beginning, 0 up to its length */
  int      chorus;             /**< from 1, counted from when the place was found */
  int      bar;                /**< from 1 */
  double   beat;               /**< felt, from 0, in the bar */
  double   tempo;              /**< felt beats a minute */
  double   likely;             /**< 0..1, that the place is right, to a third of a beat */
  double   sure;               /**< the same, but 0 while it has nothing to say */
  double   mass;               /**< of the filter's weight near the place */
  double   cents;              /**< that the recording lies above A = 440 Hz, -50..50 */
  int      key;                /**< pitch class of the tonic */
  double   key_sure;           /**< 0..1; 1 if it was given */
  int      feel;               /**< index of the learned feels */
  double   held;               /**< seconds since the place last broke */
  float    figure[RL_FIGURES]; /**< what `likely` rests on */
} RlEarReport;

/** What was heard in the last step, for a second look at it all (core/ear/path). */
typedef struct {
  uint8_t symbol[2];            /**< of its two hops */
  float   chord[48];            /**< nepers of each class of chord for one hop, at most 0 */
  float   bass[12];             /**< how much of each pitch class; all 0 where nothing sounds */
  float   fine[RL_PULSE_BANDS]; /**< mean of its two hops, as rl_pulse_read() wants it */
} RlEarLook;

/** Bytes needed to follow a form; 0 if it cannot be followed: over 640 felt beats, over 64
   different chords, or felt beats of different lengths. Below 16 MiB. */
size_t rl_ear_bytes(const RlForm *form);

/** Begins in `memory`, that many bytes, aligned as malloc() does. `key`: pitch class of the tonic
   the song sounds in, or RL_EAR_KEY_UNKNOWN. `rate`: 22050 to 192000. The form is not kept. */
RlEar *rl_ear_init(void *memory, const RlForm *form, int key, double rate);

/** Takes `frames` of mono sound (any floats) and stops behind the first report that comes. Returns
   how many frames it took. */
uint32_t rl_ear_hear(RlEar *ear, const float *sound, uint32_t frames, RlEarReport *report);

/** What the last report rests on. */
void rl_ear_look(const RlEar *ear, RlEarLook *look);

/** The sound goes on elsewhere in the song: keeps tempo, tuning and key, finds the place anew. */
void rl_ear_locate(RlEar *ear);

/** The sound goes on at a place known from before, `at` felt beats from the form's beginning, at
   `tempo` felt beats a minute: believed at once, and until what is heard says otherwise. */
void rl_ear_place(RlEar *ear, double at, double tempo);

/** The felt beat is twice as long, half as long. */
void rl_ear_half_time(RlEar *ear);
void rl_ear_double_time(RlEar *ear);

/** Somebody taps: starts out from this tempo, felt beats a minute. */
void rl_ear_tap(RlEar *ear, double tempo);

/** Bar 1 begins now. */
void rl_ear_bar_one(RlEar *ear);

#endif
