/* SPDX-License-Identifier: ISC */
/* For learn.py: forward and back through the net of net.c, all pitches at once: a row of 48 holds
   the 45 of them and zeros. Vectors as GCC and clang have them. */
// NOLINTNEXTLINE(bugprone-suspicious-include): what is learned goes through its own functions
#include "core/ear/phrase/net.c"

#include <stdint.h>

enum {
  PITCHES = RL_LIFT_PITCHES,
  STATES  = RL_LIFT_STATES,
  BOTH    = RL_LIFT_NET_BOTH,
  REST    = RL_LIFT_NET_REST,
  IN      = RL_LIFT_NET_IN,
  STEPS   = RL_LIFT_NET_STEPS,
  TAPS    = RL_LIFT_NET_TAPS,
  EVERY   = 2,  /* frames: taps lie on every second one */
  TOLD    = 4,  /* from one that teaches to the next */
  MARGIN  = 24, /* a crop's first and last frames, that are only looked at */
  FRAMES  = 256,
  ROW     = 48,
  PAD     = 24,
  WIDE    = ROW + 2 * PAD, /* zeros below and above */
  LANES   = 16,
  WEIGHTS = sizeof(RlLiftNet) / sizeof(float)
};

typedef float V __attribute__((vector_size(64), aligned(4)));

/* What a crop is and what is right in it: `held` [told], its weight, where notes begin and how much
   that counts [told][PITCHES]; the weights of all crops that are taken together sum to 1. */
typedef struct {
  int32_t        frames;
  const float   *contrast, *level, *edge, *band, *slow; /* as in RlLiftSpectra */
  const int32_t *held;
  const float   *weight, *begins, *heavy;
} Crop;

/* A frame on its way forward, and the slopes on their way back. */
typedef struct {
  float both[BOTH][ROW], last[LAST][ROW], out[2][ROW], most[BOTH], rest[REST], score[STATES];
  int   where[BOTH];
} Made;

/* What no pitch has stays 0. */
static float in[FRAMES][IN][ROW], seen[FRAMES][PITCH][WIDE], dseen[FRAMES][PITCH][WIDE];
static float edges[FRAMES][2][ROW];
static Made  made, slopes;
static V     sums[WEIGHTS]; /* of the slopes of weights, by lane */

/* ---- rows ---- */

static inline V
load(const float *const x)
{
  return *(const V *)x;
}

/* out[j] += the sum over i of w[i][j] * x[i]. */
static inline void
forth(const float *const x, const int stride, const int inputs, const float *const w,
      const int outputs, float (*const out)[ROW])
{
  for (int j = 0; j < outputs; j += 2) {
    V a[2][3];
    for (int k = 0; k < 2; ++k) {
      for (int v = 0; v < 3; ++v) {
        a[k][v] = load(out[j + k] + LANES * v);
      }
    }
    for (int i = 0; i < inputs; ++i) {
      for (int v = 0; v < 3; ++v) {
        const V here = load(x + i * stride + LANES * v);
        a[0][v] += w[i * outputs + j] * here;
        a[1][v] += w[i * outputs + j + 1] * here;
      }
    }
    for (int k = 0; k < 2; ++k) {
      for (int v = 0; v < 3; ++v) {
        *(V *)(out[j + k] + LANES * v) = a[k][v];
      }
    }
  }
}

/* The slopes of w and, where asked for, of x. */
static inline void
back(const float *const x, const int stride, const int inputs, const float *const w,
     const int outputs, const float (*const dout)[ROW], V *const dw, float *const dx)
{
  for (int i = 0; i < inputs; ++i) {
    V d[3] = {{0}}, here[3];
    for (int v = 0; v < 3; ++v) {
      here[v] = load(x + i * stride + LANES * v);
    }
    for (int j = 0; j < outputs; ++j) {
      V sum = dw[i * outputs + j];
      for (int v = 0; v < 3; ++v) {
        const V o = load(dout[j] + LANES * v);
        sum += here[v] * o;
        d[v] += w[i * outputs + j] * o;
      }
      dw[i * outputs + j] = sum;
    }
    for (int v = 0; dx && v < 3; ++v) {
      V *const to = (V *)(dx + i * stride + LANES * v);
      *to += d[v];
    }
  }
}

static void
fill(const float *const bias, const int rows, float (*const out)[ROW])
{
  for (int j = 0; j < rows; ++j) {
    for (int p = 0; p < ROW; ++p) {
      out[j][p] = bias[j];
    }
  }
}

/* Below zero, and where no pitch is. */
static void
cut(float *const x, const int stride, const int rows)
{
  for (int j = 0; j < rows; ++j) {
    for (int p = 0; p < ROW; ++p) {
      x[j * stride + p] = p < PITCHES && x[j * stride + p] > 0 ? x[j * stride + p] : 0;
    }
  }
}

/* Where nothing came through, nothing goes back. */
static void
back_cut(const float *const x, const int stride, const int rows, float *const dx)
{
  for (int j = 0; j < rows; ++j) {
    for (int p = 0; p < ROW; ++p) {
      dx[j * stride + p] = x[j * stride + p] > 0 ? dx[j * stride + p] : 0;
    }
  }
}

static float
row_sum(const float *const x)
{
  float sum = 0;
  for (int p = 0; p < ROW; ++p) {
    sum += x[p];
  }
  return sum;
}

static float
row_most(const float *const x, int *const where)
{
  *where = 0;
  for (int p = 1; p < PITCHES; ++p) {
    *where = x[p] > x[*where] ? p : *where;
  }
  return x[*where];
}

/* Where the slopes of a table are summed. */
#define SUM(member) (sums + offsetof(RlLiftNet, member) / sizeof(float))

/* ---- forward ---- */

static void
crop_see(const RlLiftNet *const n, const Crop *const c)
{
  for (int t = 0; t < c->frames; ++t) {
    for (int p = 0; p < PITCHES; ++p) {
      edges[t][0][p] = c->edge[(t * PITCHES + p) * 2];
      edges[t][1][p] = c->edge[(t * PITCHES + p) * 2 + 1];
    }
  }
  for (int t = 0; t < c->frames; t += EVERY) {
    Looked frame;
    float  looked[IN], out[PITCH][ROW];
    look_begin(&frame, c->contrast + (size_t)t * RL_LIFT_BINS, c->level + (size_t)t * RL_LIFT_BINS,
               c->slow + (size_t)t * PITCHES * RL_LIFT_SLOW);
    for (int p = 0; p < PITCHES; ++p) {
      partials_look(&frame, p, looked);
      for (int i = 0; i < IN; ++i) {
        in[t][i][p] = looked[i];
      }
    }
    fill(n->pitch_bias, PITCH, out);
    forth(in[t][0], ROW, IN, n->pitch[0], PITCH, out);
    cut(out[0], ROW, PITCH);
    for (int j = 0; j < PITCH; ++j) {
      memcpy(seen[t][j] + PAD, out[j], sizeof(out[j]));
    }
  }
}

static void
both_make(const RlLiftNet *const n, const Crop *const c, const int t)
{
  float common[PITCH], band[EDGE], top[PITCH];
  int   where;
  for (int j = 0; j < PITCH; ++j) {
    top[j] = row_most(seen[t][j] + PAD, &where);
  }
  memcpy(common, n->held_bias, sizeof(common));
  rows_add(top, PITCH, n->strongest[0], PITCH, common);
  memcpy(band, n->edge_bias, sizeof(band));
  for (int k = 0; k < STEPS; ++k) {
    rows_add(c->band + (size_t)(t + k - STEPS / 2) * RL_LIFT_BANDS, RL_LIFT_BANDS, n->band[k][0],
             EDGE, band);
  }
  fill(common, PITCH, made.both);
  fill(band, EDGE, made.both + PITCH);
  for (int k = 0; k < TAPS; ++k) {
    forth(seen[t + tap[k]][0] + PAD, WIDE, PITCH, n->around[k][0], PITCH, made.both);
  }
  for (int k = 0; k < RL_LIFT_NET_APART; ++k) {
    forth(seen[t][0] + PAD + apart[k], WIDE, PITCH, n->apart[k][0], PITCH, made.both);
  }
  for (int k = 0; k < STEPS; ++k) {
    forth(edges[t + k - STEPS / 2][0], ROW, 2, n->edge[k][0], EDGE, made.both + PITCH);
  }
  cut(made.both[0], ROW, BOTH);
}

static void
frame_make(const RlLiftNet *const n, const Crop *const c, const int t)
{
  both_make(n, c, t);
  fill(n->both_bias, LAST, made.last);
  forth(made.both[0], ROW, BOTH, n->both[0], LAST, made.last);
  cut(made.last[0], ROW, LAST);
  fill(n->out_bias, 2, made.out);
  forth(made.last[0], ROW, LAST, n->out[0], 2, made.out);
  for (int j = 0; j < BOTH; ++j) {
    made.most[j] = row_most(made.both[j], &made.where[j]);
  }
  memcpy(made.rest, n->rest_bias, sizeof(n->rest_bias));
  rows_add(made.most, BOTH, n->rest[0], REST, made.rest);
  below_zero_cut(made.rest, REST);
  memcpy(made.score, made.out[0], PITCHES * sizeof(float));
  made.score[PITCHES] = rest_weigh(n, made.most);
  shares_make(made.score, made.score);
}

/* ---- back ---- */

static void
bias_back(const float (*const d)[ROW], const int rows, V *const to)
{
  for (int j = 0; j < rows; ++j) {
    to[j][0] += row_sum(d[j]);
  }
}

/* Single numbers instead of rows. */
static void
few_back(const float *const x, const int inputs, const float *const w, const int outputs,
         const float *const dout, V *const dw, float *const dx)
{
  for (int i = 0; i < inputs; ++i) {
    for (int j = 0; j < outputs; ++j) {
      dw[i * outputs + j][0] += x[i] * dout[j];
      if (dx) {
        dx[i] += w[i * outputs + j] * dout[j];
      }
    }
  }
}

/* Cross entropy of what is held and of beginnings, and their slopes. */
static float
loss_make(const Crop *const c, const int i, float *const still)
{
  const float weight = c->weight[i];
  float       loss   = -weight * made.score[c->held[i]];
  memset(slopes.out, 0, sizeof(slopes.out));
  for (int p = 0; p < PITCHES; ++p) {
    const float z = made.out[1][p], y = c->begins[i * PITCHES + p], h = c->heavy[i * PITCHES + p];
    slopes.out[0][p] = weight * (expf(made.score[p]) - (p == c->held[i] ? 1.0F : 0.0F));
    slopes.out[1][p] = h * (1 / (1 + expf(-z)) - y);
    loss += h * (fmaxf(z, 0) - z * y + log1pf(expf(-fabsf(z))));
  }
  *still = weight * (expf(made.score[PITCHES]) - (c->held[i] == PITCHES ? 1.0F : 0.0F));
  return loss;
}

static void
rest_back(const RlLiftNet *const n, const float still)
{
  float dmost[BOTH] = {0}, drest[REST] = {0};
  SUM(silent_bias)[0][0] += still;
  few_back(made.rest, REST, n->silent, 1, &still, SUM(silent), drest);
  for (int j = 0; j < REST; ++j) {
    drest[j] = made.rest[j] > 0 ? drest[j] : 0;
    SUM(rest_bias)[j][0] += drest[j];
  }
  few_back(made.most, BOTH, n->rest[0], REST, drest, SUM(rest), dmost);
  for (int j = 0; j < BOTH; ++j) {
    slopes.both[j][made.where[j]] += dmost[j];
  }
}

static void
last_back(const RlLiftNet *const n, const float still)
{
  memset(slopes.last, 0, sizeof(slopes.last));
  memset(slopes.both, 0, sizeof(slopes.both));
  bias_back(slopes.out, 2, SUM(out_bias));
  back(made.last[0], ROW, LAST, n->out[0], 2, slopes.out, SUM(out), slopes.last[0]);
  back_cut(made.last[0], ROW, LAST, slopes.last[0]);
  bias_back(slopes.last, LAST, SUM(both_bias));
  back(made.both[0], ROW, BOTH, n->both[0], LAST, slopes.last, SUM(both), slopes.both[0]);
  rest_back(n, still);
  back_cut(made.both[0], ROW, BOTH, slopes.both[0]);
}

static void
both_back(const RlLiftNet *const n, const Crop *const c, const int t)
{
  float common[PITCH], band[EDGE], top[PITCH], dtop[PITCH] = {0};
  int   where[PITCH];
  for (int k = 0; k < TAPS; ++k) {
    const int at = t + tap[k];
    back(seen[at][0] + PAD, WIDE, PITCH, n->around[k][0], PITCH, slopes.both,
         SUM(around) + k * PITCH * PITCH, dseen[at][0] + PAD);
  }
  for (int k = 0; k < RL_LIFT_NET_APART; ++k) {
    back(seen[t][0] + PAD + apart[k], WIDE, PITCH, n->apart[k][0], PITCH, slopes.both,
         SUM(apart) + k * PITCH * PITCH, dseen[t][0] + PAD + apart[k]);
  }
  for (int k = 0; k < STEPS; ++k) {
    back(edges[t + k - STEPS / 2][0], ROW, 2, n->edge[k][0], EDGE, slopes.both + PITCH,
         SUM(edge) + k * 2 * EDGE, NULL);
  }
  for (int j = 0; j < PITCH; ++j) {
    common[j] = row_sum(slopes.both[j]);
    SUM(held_bias)[j][0] += common[j];
    top[j] = row_most(seen[t][j] + PAD, &where[j]);
  }
  for (int j = 0; j < EDGE; ++j) {
    band[j] = row_sum(slopes.both[PITCH + j]);
    SUM(edge_bias)[j][0] += band[j];
  }
  for (int k = 0; k < STEPS; ++k) {
    few_back(c->band + (size_t)(t + k - STEPS / 2) * RL_LIFT_BANDS, RL_LIFT_BANDS, n->band[k][0],
             EDGE, band, SUM(band) + k * RL_LIFT_BANDS * EDGE, NULL);
  }
  few_back(top, PITCH, n->strongest[0], PITCH, common, SUM(strongest), dtop);
  for (int j = 0; j < PITCH; ++j) {
    dseen[t][j][PAD + where[j]] += dtop[j];
  }
}

static void
crop_back(const RlLiftNet *const n, const int frames)
{
  for (int t = 0; t < frames; t += EVERY) {
    float d[PITCH][ROW];
    back_cut(seen[t][0] + PAD, WIDE, PITCH, dseen[t][0] + PAD);
    for (int j = 0; j < PITCH; ++j) {
      memcpy(d[j], dseen[t][j] + PAD, sizeof(d[j]));
    }
    bias_back(d, PITCH, SUM(pitch_bias));
    back(in[t][0], ROW, IN, n->pitch[0], PITCH, d, SUM(pitch), NULL);
  }
}

/* Returns the loss and adds its slopes to those of `slope`, if any; `said` [told]: the likeliest
   state. At most FRAMES frames. */
float
rl_learn_crop(const RlLiftNet *const net, const Crop *const crop, float *const slope,
              int32_t *const said)
{
  float loss = 0, still;
  crop_see(net, crop);
  for (int t = 0; t < crop->frames; t += EVERY) {
    memset(dseen[t], 0, sizeof(dseen[t]));
  }
  memset(sums, 0, sizeof(sums));
  for (int t = MARGIN, i = 0; t < crop->frames - MARGIN; t += TOLD, ++i) {
    frame_make(net, crop, t);
    said[i] = 0;
    for (int k = 1; k < STATES; ++k) {
      said[i] = made.score[k] > made.score[said[i]] ? k : said[i];
    }
    if (slope) {
      loss += loss_make(crop, i, &still);
      last_back(net, still);
      both_back(net, crop, t);
    }
  }
  if (slope) {
    crop_back(net, crop->frames);
    for (size_t w = 0; w < WEIGHTS; ++w) {
      for (int k = 0; k < LANES; ++k) {
        slope[w] += sums[w][k];
      }
    }
  }
  return loss;
}
