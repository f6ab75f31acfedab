/* SPDX-License-Identifier: ISC */
#include "core/ear/player/reed_memory.h"

#include "core/ear/four.h"

#include <string.h>

static const float silent = -70; /* dB: a partial above the highest line */

/* Blocks that tell how a reed sounds: at least, at most; how well its partials keep step, alone at
 * least, with its octave at most. */
static const float enough = 4, longest = 60, in_step = 0.9F, out_of_step = 0.7F;

static const int known_partial[RL_KNOWN_PARTIALS] = {1, 3};

static float
clamp(const float x, const float low, const float high)
{
  return x < low ? low : x > high ? high : x;
}

void
rl_reed_memory_init(RlReedMemory *const memory)
{
  memset(memory, 0, sizeof(*memory));
}

void
rl_reed_memory_lags(RlReedMemory *const memory, const float *const lag)
{
  memory->now = (memory->now + 1) % 9;
  memcpy(memory->lag[memory->now], lag, sizeof(memory->lag[0]));
}

void
rl_reed_memory_rest(RlReedMemory *const memory)
{
  rl_reed_memory_lags(memory, memory->lag[memory->now]);
}

float
rl_reed_even(const RlReedNote *const note, const RlLines *const lines)
{
  float sum[2] = {0};
  for (int i = 0; i < 4; ++i) {
    const float level = note->line[i] >= 0 ? lines->slow[note->line[i]] : silent;
    sum[i % 2] += clamp(level, silent, 0) * 0.5F;
  }
  return sum[1] - sum[0];
}

float
rl_reed_even_usual(const RlReedMemory *const memory, const RlReeds *const reeds,
                   const RlReedNote *const of)
{
  float weight = 60, sum = weight * memory->even[RL_REED_NOTES];
  for (int k = 0; k < reeds->notes; ++k) {
    if (memory->even_blocks[k] == 0) { /* nothing is known of most */
      continue;
    }
    const int apart = reeds->note[k].midi - of->midi;
    if (apart * apart < 36) {
      const float near = rl_lesser(memory->even_blocks[k], 150) / (float)(1 + apart * apart);
      sum += near * memory->even[k];
      weight += near;
    }
  }
  return sum / weight;
}

/* Moves a tracker of the third decile; in great steps at first. */
static void
decile_move(RlReedMemory *const memory, const int of, const float x)
{
  const float step = 0.03F + 2 / (memory->even_blocks[of] + 4);
  memory->even[of] += x < memory->even[of] ? -0.7F * step : 0.3F * step;
  memory->even_blocks[of] = rl_lesser(2000, memory->even_blocks[of] + 1);
}

void
rl_reed_memory_even(RlReedMemory *const memory, const RlReeds *const reeds, const int note,
                    const RlLines *const lines)
{
  const int   pitch = reeds->note[note].same;
  const float now   = rl_reed_even(&reeds->note[note], lines);
  if (memory->even_blocks[pitch] == 0) {
    memory->even[pitch] = memory->even[RL_REED_NOTES];
  }
  decile_move(memory, pitch, now);
  decile_move(memory, RL_REED_NOTES, now);
}

/* A partial beside the first, dB. */
static float
beside_first(const RlReedNote *const note, const RlLines *const lines, const int partial)
{
  const int line = note->line[partial];
  return line < 0 ? -40 : clamp(lines->slow[line] - lines->slow[note->line[0]], -40, 40);
}

void
rl_reed_memory_partials(RlReedMemory *const memory, const RlReeds *const reeds, const int note,
                        const int known, const RlLines *const lines, const RlBeats *const beats)
{
  const int   pitch = reeds->note[note].same;
  const float step  = beats->mean[RL_BEAT_SECOND_FAR][pitch];
  const bool  since_short =
    rl_beats_locked(beats, RL_BEAT_SECOND, pitch, RL_LINES_PAST - 1) == 0; /* not known yet */
  float *const many = &memory->known_blocks[known][pitch];
  if (known == RL_KNOWN_ALONE ? step < in_step : step > out_of_step || since_short) {
    return;
  }
  *many = rl_lesser(longest, *many + 1);
  for (int i = 0; i < RL_KNOWN_PARTIALS; ++i) {
    float *const is = &memory->known[known][i][pitch];
    *is += (beside_first(&reeds->note[pitch], lines, known_partial[i]) - *is) / *many;
  }
}

bool
rl_reed_known(const RlReedMemory *const memory, const int pitch, const int known)
{
  return memory->known_blocks[known][pitch] >= enough;
}

float
rl_reed_beside_known(const RlReedMemory *const memory, const RlReeds *const reeds, const int pitch,
                     const int known, const RlLines *const lines, const int which)
{
  return beside_first(&reeds->note[pitch], lines, known_partial[which]) -
         memory->known[known][which][pitch];
}
