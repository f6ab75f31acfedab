/* SPDX-License-Identifier: ISC */
/* Hears a recording of a harp. Usage: hear SOUND KEY RANGE TUNING OVERBLOWS [FIGURES [NET]]
   Prints a line for each block of 5.3 ms: second, how sure, level in dB, then hole, technique and
   cents of each note. With FIGURES it writes there, for learn.py, what the net is told of every
   block: floats, head first (see head_write()). NET holds other nets than
   those built in, as floats. On stderr the processor time as a share of the
   sound's. */
#include "core/ear/player/reed_ear.h"

#include <sndfile.h>
#include <stdio.h>
#include <stdlib.h>
#include <time.h>

static RlReedEar ear;

static void
net_read(const char *const name)
{
  static RlNet net;
  FILE *const  from = fopen(name, "rb");
  if (!from || fread(&net, sizeof(net), 1, from) != 1) {
    (void)fprintf(stderr, "%s holds no nets: expected %zu bytes\n", name, sizeof(net));
    exit(2);
  }
  (void)fclose(from);
  ear.net = &net;
}

static void
put(FILE *const to, const float *const x, const size_t count)
{
  if (fwrite(x, sizeof(float), count, to) != count) {
    exit(1);
  }
}

/* States; candidates a block; figures of one, of the moment; then each state's notes: hole,
 * technique, MIDI, three times, or 0. */
static void
head_write(FILE *const to)
{
  const RlReeds *const r = &ear.reeds;
  put(to, (float[]){(float)r->states, RL_CANDIDATES, RL_CANDIDATE_FIGURES, RL_MOMENT_FIGURES}, 4);
  for (int s = 0; s < r->states; ++s) {
    float notes[9] = {0};
    for (int i = 0; i < r->state[s].count; ++i) {
      const RlReedNote *const n = &r->note[r->state[s].note[i]];
      notes[3 * i]              = n->hole;
      notes[3 * i + 1]          = n->technique;
      notes[3 * i + 2]          = n->midi;
    }
    put(to, notes, 9);
  }
}

/* Second; candidates; the moment's figures; of each candidate its state and figures, 0 where there
 * are fewer. */
static void
figures_write(FILE *const to, const double second)
{
  static const RlCandidateFigures none;
  put(to, (float[]){(float)second, (float)ear.candidates.count}, 2);
  put(to, (const float *)&ear.moment, RL_MOMENT_FIGURES);
  for (int i = 0; i < RL_CANDIDATES; ++i) {
    const bool there = i < ear.candidates.count;
    put(to, (float[]){there ? ear.candidates.candidate[i].state : -1}, 1);
    put(to, (const float *)(there ? &ear.figures[i] : &none), RL_CANDIDATE_FIGURES);
  }
}

static void
played_print(const RlPlayed *const p, const double rate)
{
  (void)printf("%.5f %.3f %.1f", (double)p->frame / rate, (double)p->sure, (double)p->level);
  for (int i = 0; i < p->count; ++i) {
    (void)printf(" %d %d %.1f", p->note[i].hole, p->note[i].technique, (double)p->note[i].cents);
  }
  (void)putchar('\n');
}

static void
hear(const float *const sound, const uint32_t frames, const double rate, FILE *const figures)
{
  for (uint32_t at = 0; at < frames;) {
    bool fresh;
    at += rl_reed_ear_hear(&ear, sound + at, frames - at, &fresh);
    if (fresh && figures) {
      if (ear.candidates.count) {
        figures_write(figures, (double)ear.frame / rate);
      }
    } else if (fresh) {
      played_print(&ear.played, rate);
    }
  }
}

int
main(const int count, char **const words)
{
  SF_INFO        info = {0};
  SNDFILE *const file = count > 5 ? sf_open(words[1], SFM_READ, &info) : NULL;
  if (!file || info.channels != 1) {
    (void)fputs(
      "usage: hear SOUND KEY RANGE TUNING OVERBLOWS [FIGURES]   (a sound of one channel)\n",
      stderr);
    return 2;
  }
  float *const   sound  = malloc((size_t)info.frames * sizeof(float));
  const uint32_t frames = sound ? (uint32_t)sf_readf_float(file, sound, info.frames) : 0;
  const RlHarp   harp   = rl_harp_make(
        (RlHarpChoice){(uint8_t)atoi(words[2]), (int8_t)atoi(words[3]), (RlTuning)atoi(words[4])});
  FILE *const to = count > 6 && *words[6] ? fopen(words[6], "wb") : NULL;
  rl_reed_ear_init(&ear, &harp, (RlPlayer){3, 3, atoi(words[5]) != 0}, info.samplerate);
  ear.thorough = to != NULL;
  if (to) {
    head_write(to);
  }
  if (count > 7) {
    net_read(words[7]);
  }
  const clock_t began = clock();
  hear(sound, frames, info.samplerate, to);
  (void)fprintf(stderr, "%.5f\n",
                (double)(clock() - began) / CLOCKS_PER_SEC / ((double)frames / info.samplerate));
  (void)sf_close(file);
  free(sound);
  return to && fclose(to) ? 1 : 0;
}
