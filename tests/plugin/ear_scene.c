/* SPDX-License-Identifier: ISC */
#include "ear_scene.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { SECONDS = 60 };

const char ear_blues[] = "key: A\nmeter: 4/4\n| I7 | IV7 | I7 | I7 |\n| IV7 | % | I7 | VI7 |\n"
                         "| ii7 | V7 | I7 | V7 |\n";

/* ---- the host ---- */

static void
transport_say(Ear *const e)
{
  const Report r = {SAY_SPEED | SAY_TEMPO | SAY_METER | (e->says_frames ? SAY_FRAME : 0U),
                    e->at,
                    0,
                    e->rolls,
                    0,
                    0,
                    100,
                    4,
                    4};
  scene_report(&e->s, 0, &r);
}

void
ear_block(Ear *const e, const uint32_t block)
{
  float *const left = rl_host_audio(e->s.host, "in_left");
  for (uint32_t i = 0; i < block; ++i) {
    const int64_t at = e->at + i;
    left[i]          = e->rolls && !e->silent && at >= 0 && at < e->frames ? e->sound[at] : 0;
  }
  if (!e->s.mono) {
    memcpy(rl_host_audio(e->s.host, "in_right"), left, block * sizeof(float));
  }
  transport_say(e);
  scene_run(&e->s, block);
  e->at += e->rolls ? block : 0;
}

/* Plays so many seconds; gives the listener time twice a second of sound. */
void
ear_play_blocks(Ear *const e, const double seconds, const uint32_t block)
{
  for (int64_t left = (int64_t)(seconds * e->rate); left > 0; left -= block) {
    ear_block(e, block);
    e->since += block;
    if ((double)e->since > e->rate / 2) {
      rl_host_rest(1);
      e->since = 0;
    }
  }
  rl_host_rest(3);
  ear_block(e, 1);
}

void
ear_play(Ear *const e, const double seconds)
{
  ear_play_blocks(e, seconds, BLOCK);
}

void
ear_begin_at(Ear *const e, const RlBand *const band, const char *const uri,
             const RlHostWorker worker)
{
  RlHostChoice choice = scene_choice(uri);
  memset(e, 0, sizeof(*e));
  choice.rate   = band->rate;
  choice.worker = worker;
  e->rate       = band->rate;
  e->frames     = (int64_t)(SECONDS * band->rate);
  e->sound      = malloc((size_t)e->frames * sizeof(float));
  rl_band_form(ear_blues, &e->form);
  rl_band_play(band, &e->form, e->sound, (size_t)e->frames);
  scene_open(&e->s, &choice);
  rl_host_activate(e->s.host);
  scene_send(&e->s, 0, "chart", ear_blues);
  scene_await(&e->s, "chart", ear_blues);
  rl_host_set(e->s.host, "clock", 2);
  e->rolls = e->says_frames = true;
}

void
ear_begin(Ear *const e)
{
  const RlBand band = {RATE, TEMPO, 0, KEY_A, 0};
  ear_begin_at(e, &band, STEREO, RL_HOST_AFTER);
}

void
ear_end(Ear *const e)
{
  scene_end(&e->s);
  free(e->sound);
}

void
ear_press(Ear *const e, const char *const port)
{
  rl_host_set(e->s.host, port, 1);
  ear_block(e, BLOCK);
  rl_host_set(e->s.host, port, 0);
}

/* ---- what it says ---- */

int
ear_hearing(const Ear *const e)
{
  return (int)rl_host_get(e->s.host, "hearing");
}

/* Felt beats since bar 1, by the outputs. */
double
ear_shown(const Ear *const e)
{
  return (e->s.chorus - 1) * BEATS + (e->s.bar - 1) * 4 + e->s.beat - 1;
}

double
ear_true_beat(const Ear *const e)
{
  return (double)e->at / e->rate * TEMPO / 60;
}

/* How far off, in beats, whatever the chorus. */
double
ear_error(const Ear *const e)
{
  const double off = ear_shown(e) - ear_true_beat(e);
  return fabs(off - BEATS * round(off / BEATS));
}

bool
ear_placed(const Ear *const e)
{
  return e->s.bar != 0 && e->s.sure > 0;
}

/* Plays until the place is known; returns the seconds that took. */
double
ear_find(Ear *const e, const double most)
{
  double took = 0;
  while (!ear_placed(e) && took < most) {
    ear_play(e, 1);
    took += 1;
  }
  assert_true(ear_placed(e));
  return took;
}
