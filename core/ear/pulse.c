/* SPDX-License-Identifier: ISC */
#include "core/ear/pulse.h"

#include "core/ear/four.h"
#include "core/ear/learned_pulse.h"

#include <math.h>
#include <string.h>

enum { FOURS = RL_PULSE_WIDTH / 4, ABOUT = 2 * RL_PULSE_FRAMES };

static const float input_share = 0.5F; /* the bands, so that they are as wide as their rises */

static const float least_likely = 0.01F; /* so that what is most unlikely is not worth more */

typedef float Frame[RL_PULSE_WIDTH];

/* A layer's weights, whichever its kind. */
typedef struct {
  const float *scale, *plus;
  const int8_t (*weight)[RL_PULSE_WIDTH];
} Layer;

#define LAYER(of) ((Layer){(of).scale, (of).plus, (of).weight})

/* Adds channels of one frame, weighed; the scale comes at the end. */
static void
weigh(const int8_t (*const weight)[RL_PULSE_WIDTH], const float *const in, const int channels,
      RlFour sum[FOURS])
{
  for (int i = 0; i < channels; ++i) {
    const RlFour x = rl_four(in[i]);
    for (int k = 0; k < FOURS; ++k) {
      const int8_t *const w = weight[i] + 4 * k;
      sum[k] += x * (RlFour){w[0], w[1], w[2], w[3]};
    }
  }
}

static void
sum_end(const Layer layer, const RlFour sum[FOURS], Frame out)
{
  for (int k = 0; k < FOURS; ++k) {
    rl_four_put(out + 4 * k,
                sum[k] * rl_four_at(layer.scale + 4 * k) + rl_four_at(layer.plus + 4 * k));
  }
}

static float
elu(const float x)
{
  return x > 0 ? x : expm1f(x);
}

static void
frame_elu(const Frame from, Frame to)
{
  for (int i = 0; i < RL_PULSE_WIDTH; ++i) {
    to[i] = elu(from[i]);
  }
}

static void
inputs_of(const float (*const fine)[RL_PULSE_BANDS], const int t, float in[RL_PULSE_INPUTS])
{
  for (int b = 0; b < RL_PULSE_BANDS; ++b) {
    const float rise       = t > 0 ? fine[t][b] - fine[t - 1][b] : 0;
    in[b]                  = input_share * fine[t][b];
    in[RL_PULSE_BANDS + b] = rise > 0 ? rise : 0;
  }
}

static void
first_layer(const float (*const fine)[RL_PULSE_BANDS], const int frames, Frame *const to)
{
  const Layer layer = LAYER(rl_learned_pulse.first);
  for (int t = 0; t < frames; ++t) {
    RlFour sum[FOURS] = {0};
    for (int tap = 0; tap < RL_PULSE_FIRST; ++tap) {
      const int at = t + tap - RL_PULSE_FIRST / 2;
      float     in[RL_PULSE_INPUTS];
      if (at >= 0 && at < frames) {
        inputs_of(fine, at, in);
        weigh(layer.weight + (size_t)tap * RL_PULSE_INPUTS, in, RL_PULSE_INPUTS, sum);
      }
    }
    sum_end(layer, sum, to[t]);
    frame_elu(to[t], to[t]);
  }
}

/* `way` and what the layer makes of it, frames `apart` weighed together; `room`: as long. */
static void
layer_add(const int number, const int apart, const int frames, Frame *const way, Frame *const room)
{
  const Layer spread = LAYER(rl_learned_pulse.spread[number]),
              mix    = LAYER(rl_learned_pulse.mix[number]);
  for (int t = 0; t < frames; ++t) {
    RlFour sum[FOURS] = {0};
    for (int tap = 0; tap < RL_PULSE_TAPS; ++tap) {
      const int at = t + (tap - RL_PULSE_TAPS / 2) * apart;
      if (at >= 0 && at < frames) {
        weigh(spread.weight + (size_t)tap * RL_PULSE_WIDTH, way[at], RL_PULSE_WIDTH, sum);
      }
    }
    sum_end(spread, sum, room[t]);
    frame_elu(room[t], room[t]);
  }
  for (int t = 0; t < frames; ++t) {
    RlFour sum[FOURS] = {0};
    Frame  more;
    weigh(mix.weight, room[t], RL_PULSE_WIDTH, sum);
    sum_end(mix, sum, more);
    for (int i = 0; i < RL_PULSE_WIDTH; ++i) {
      way[t][i] += more[i];
    }
  }
}

/* How likely each word is in a frame. */
static void
words_likely(Frame *const way, const int frames, float (*const word)[RL_PULSE_WORDS])
{
  for (int t = 0; t < frames; ++t) {
    Frame ended;
    frame_elu(way[t], ended);
    for (int w = 0; w < RL_PULSE_WORDS; ++w) {
      float sum = rl_learned_pulse.last_plus[w];
      for (int i = 0; i < RL_PULSE_WIDTH; ++i) {
        sum += ended[i] * rl_learned_pulse.last[w][i];
      }
      word[t][w] = 1 / (1 + expf(-sum));
    }
  }
}

/* Likelihoods into nepers against the mean of the frames about; `sum`: one more than there are. */
static void
words_weigh(const int frames, float *const sum, float (*const word)[RL_PULSE_WORDS])
{
  for (int w = 0; w < RL_PULSE_WORDS; ++w) {
    sum[0] = 0;
    for (int t = 0; t < frames; ++t) {
      sum[t + 1] = sum[t] + word[t][w];
    }
    for (int t = 0; t < frames; ++t) {
      const int   from = t > ABOUT ? t - ABOUT : 0, to = t + ABOUT < frames ? t + ABOUT : frames;
      const float mean = (sum[to] - sum[from]) / (float)(to - from);
      word[t][w]       = logf((word[t][w] + least_likely) / (mean + least_likely));
    }
  }
}

void
rl_pulse_read(const float (*const fine)[RL_PULSE_BANDS], const int frames, void *const memory,
              float (*const word)[RL_PULSE_WORDS])
{
  Frame *const way = memory, *const room = way + frames;
  first_layer(fine, frames, way);
  for (int n = 0; n < RL_PULSE_LAYERS; ++n) {
    layer_add(n, 1 << n, frames, way, room);
  }
  words_likely(way, frames, word);
  words_weigh(frames, memory, word);
}
