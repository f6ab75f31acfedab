/* SPDX-License-Identifier: ISC */
#include "core/ear/phrase/spectra.h"

#include "core/ear/four.h"

#include <math.h>
#include <string.h>

enum {
  LONG    = 2048, /* samples */
  PADDED  = 4096,
  SHORT   = 512,
  LINES   = PADDED / 2, /* of the long window */
  STROKES = SHORT / 2,  /* of the short one */
  AROUND  = 24,         /* lines on each side that contrast is against */
  THIRDS  = 32          /* of an octave, that the level over time is told in */
};

static const float of_two = 0.69314718F; /* natural logarithm */
static const float pi = 3.14159265F, line_hertz = (float)RL_LIFT_RATE / PADDED,
                   stroke_hertz = (float)RL_LIFT_RATE / SHORT;

/* Everything one call works in. */
typedef struct {
  RlLiftView view;
  RlFft     *fft_long, *fft_short;
  float     *hann_long, *hann_short, *scratch;
  RlBin     *bins[2];
  float     *line;     /* [frames][LINES]: magnitudes */
  float     *stroke;   /* [frames][STROKES] */
  float     *white;    /* [LINES]: what whitens */
  float     *log;      /* [LINES]: of one frame */
  float     *contrast; /* [LINES] */
  float     *level;    /* [LINES] */
  float     *sum;      /* [LINES + 1] */
  float     *mean;     /* [LINES] */
  float     *run;      /* [frames + 1]: of one pitch */
} Work;

int
rl_lift_frames(const size_t samples)
{
  return (int)(samples * RL_LIFT_FRAMES_EACH / RL_LIFT_RATE) + 1;
}

void
rl_lift_spectra_take(RlLiftSpectra *const s, const int frames, RlLiftRoom *const room)
{
  const size_t n = (size_t)frames;
  s->frames      = frames;
  s->contrast    = rl_lift_take(room, n * RL_LIFT_BINS, sizeof(float));
  s->level       = rl_lift_take(room, n * RL_LIFT_BINS, sizeof(float));
  s->edge        = rl_lift_take(room, n * RL_LIFT_PITCHES * 2, sizeof(float));
  s->band        = rl_lift_take(room, n * RL_LIFT_BANDS, sizeof(float));
  s->slow        = rl_lift_take(room, n * RL_LIFT_PITCHES * RL_LIFT_SLOW, sizeof(float));
}

static void
work_take(Work *const w, const int frames, RlLiftRoom *const room)
{
  const size_t n         = (size_t)frames;
  void *const  fft_long  = rl_lift_take(room, 1, rl_fft_bytes(PADDED));
  void *const  fft_short = rl_lift_take(room, 1, rl_fft_bytes(SHORT));
  w->hann_long           = rl_lift_take(room, LONG, sizeof(float));
  w->hann_short          = rl_lift_take(room, SHORT, sizeof(float));
  w->scratch             = rl_lift_take(room, PADDED, sizeof(float));
  w->bins[0]             = rl_lift_take(room, PADDED / 2 + 1, sizeof(RlBin));
  w->bins[1]             = rl_lift_take(room, PADDED / 2 + 1, sizeof(RlBin));
  w->line                = rl_lift_take(room, n * LINES, sizeof(float));
  w->stroke              = rl_lift_take(room, n * STROKES, sizeof(float));
  w->white               = rl_lift_take(room, LINES, sizeof(float));
  w->log                 = rl_lift_take(room, LINES, sizeof(float));
  w->contrast            = rl_lift_take(room, LINES, sizeof(float));
  w->level               = rl_lift_take(room, LINES, sizeof(float));
  w->sum                 = rl_lift_take(room, LINES + 1, sizeof(float));
  w->mean                = rl_lift_take(room, LINES, sizeof(float));
  w->run                 = rl_lift_take(room, n + 1, sizeof(float));
  if (room->memory) {
    w->fft_long  = rl_fft_begin(fft_long, PADDED);
    w->fft_short = rl_fft_begin(fft_short, SHORT);
    rl_lift_hann(w->hann_long, LONG);
    rl_lift_hann(w->hann_short, SHORT);
  }
}

/* ---- windows ---- */

void
rl_lift_hann(float *const window, const int size)
{
  for (int i = 0; i < size; ++i) {
    window[i] = 0.5F - 0.5F * cosf(2 * pi * (float)i / (float)size);
  }
}

static void
window_fill(const float *const sound, const long samples, const long centre,
            const float *const hann, const int size, float *const out)
{
  for (int i = 0; i < size; ++i) {
    const long k = centre - size / 2 + i;
    out[i]       = k >= 0 && k < samples ? sound[k] * hann[i] : 0;
  }
}

void
rl_lift_window(const RlLiftSound *const sound, const long centre, const float *const hann,
               const int size, const int padded, float *const scratch, RlFft *const fft,
               RlBin *bins[2])
{
  const float *const side[2] = {sound->left, sound->right};
  memset(scratch + size, 0, sizeof(float) * (size_t)(padded - size));
  for (int i = 0; i < 2 && side[i]; ++i) {
    window_fill(side[i], (long)sound->samples, centre, hann, size, scratch);
    rl_fft_run(fft, scratch, bins[i]);
  }
}

/* Magnitudes of what comes from the horn's side. */
static void
side_measure(const RlLiftView *const view, const bool mono, RlBin *const bins[2], const int count,
             const int size, float *const out)
{
  const float scale = 2.0F / (float)size;
  const float both  = view->left + view->right;
  out[0]            = 0;
  for (int k = 1; k < count; ++k) {
    const RlBin l = bins[0][k];
    if (mono) {
      out[k] = scale * both * sqrtf(l.re * l.re + l.im * l.im);
      continue;
    }
    const RlBin r    = bins[1][k];
    const float hr   = view->left * l.re + view->right * r.re,
                hi   = view->left * l.im + view->right * r.im;
    const float horn = sqrtf(hr * hr + hi * hi);
    float       mine = horn;
    if (view->mask > 0) {
      const float er = view->right * l.re - view->left * r.re,
                  ei = view->right * l.im - view->left * r.im;
      mine           = fmaxf(horn - view->mask * sqrtf(er * er + ei * ei), 0.1F * horn);
    }
    out[k] = mine * scale;
  }
}

/* Both windows of every frame. Returns the energy of the short ones. */
static double
frames_measure(const RlLiftSound *const sound, Work *const w, const int frames)
{
  double energy = 0;
  for (int t = 0; t < frames; ++t) {
    const long   centre = lrint(t * (double)RL_LIFT_RATE / RL_LIFT_FRAMES_EACH);
    float *const line   = w->line + (size_t)t * LINES;
    float *const stroke = w->stroke + (size_t)t * STROKES;
    rl_lift_window(sound, centre, w->hann_long, LONG, PADDED, w->scratch, w->fft_long, w->bins);
    side_measure(&w->view, !sound->right, w->bins, LINES, LONG, line);
    rl_lift_window(sound, centre, w->hann_short, SHORT, SHORT, w->scratch, w->fft_short, w->bins);
    side_measure(&w->view, !sound->right, w->bins, STROKES, SHORT, stroke);
    for (int k = 0; k < STROKES; ++k) {
      energy += (double)(stroke[k] * stroke[k]);
    }
  }
  return energy;
}

/* ---- whitening and tuning ---- */

/* The clip's level over time in thirds of an octave: where each lies, and how loud it is. Returns
   how many there are; *all is the level of everything. */
static int
thirds_measure(const float *const line, const int frames, float at[THIRDS], float loud[THIRDS],
               float *const all)
{
  double energy[THIRDS] = {0}, count[THIRDS] = {0}, place[THIRDS] = {0}, sum = 0;
  for (int k = 1; k < LINES; ++k) {
    const int third = (int)(3 * log2f(fmaxf((float)k * line_hertz, 40) / 40));
    const int b     = third < THIRDS ? third : THIRDS - 1;
    double    e     = 0;
    for (int t = 0; t < frames; ++t) {
      const float x = line[(size_t)t * LINES + (size_t)k];
      e += (double)(x * x);
    }
    energy[b] += e / frames;
    count[b] += 1;
    place[b] += k;
    sum += e / frames;
  }
  int n = 0;
  for (int b = 0; b < THIRDS; ++b) {
    if (count[b] > 0) {
      at[n]     = (float)(place[b] / count[b]);
      loud[n++] = (float)sqrt(energy[b] / count[b]);
    }
  }
  *all = (float)sqrt(sum / LINES) + 1e-9F;
  return n;
}

/* Divides most of the clip's own colour out: its power .6, the level's .4. */
static void
white_find(const float *const line, const int frames, float *const white)
{
  float     at[THIRDS], loud[THIRDS], all;
  const int n = thirds_measure(line, frames, at, loud, &all);
  for (int k = 0, j = 0; k < LINES; ++k) {
    while (j < n - 2 && (float)k > at[j + 1]) {
      ++j;
    }
    const float u     = ((float)k - at[j]) / (at[j + 1] - at[j]);
    const float share = u < 0 ? 0 : u > 1 ? 1 : u;
    const float here  = loud[j] + share * (loud[j + 1] - loud[j]) + 1e-4F * all;
    white[k]          = 1 / (powf(all, 0.4F) * powf(here, 0.6F));
  }
}

/* How far the record lies from A = 440 Hz, in half steps: the circular mean of its peaks between
   150 and 2500 Hz. */
static float
tuning_find(const float *const line, const float *const white, const int frames)
{
  const int from = (int)(150 / line_hertz), to = (int)(2500 / line_hertz);
  double    c = 0, s = 0;
  for (int t = 0; t < frames; t += 2) {
    const float *const x = line + (size_t)t * LINES;
    for (int k = from; k < to; ++k) {
      if (!(x[k] > x[k - 1] && x[k] >= x[k + 1] && x[k] * white[k] > 0.5F)) {
        continue;
      }
      const float a = logf(x[k - 1] + 1e-9F), b = logf(x[k] + 1e-9F), d = logf(x[k + 1] + 1e-9F);
      const float past  = 0.5F * (a - d) / (a - 2 * b + d - 1e-9F);
      const float place = 12 * log2f(((float)k + past) * line_hertz / 440);
      const float heavy = log1pf(x[k] * white[k]);
      c += (double)(heavy * cosf(2 * pi * place));
      s += (double)(heavy * sinf(2 * pi * place));
    }
  }
  return (float)(atan2(s, c) / (2 * (double)pi));
}

/* ---- thirds of a half step ---- */

/* Where a third of a half step lies among the lines. */
typedef struct {
  float at;
  int   low, high;
} Place;

static void
places_find(const float tuning, Place place[RL_LIFT_BINS])
{
  for (int b = 0; b < RL_LIFT_BINS; ++b) {
    const float  midi = (float)RL_LIFT_BIN_LOWEST + (float)b / 3 + tuning;
    const float  at   = 440 * powf(2, (midi - 69) / 12) / line_hertz;
    const float  half = at * (powf(2, 1.0F / 72) - 1);
    Place *const p    = &place[b];
    p->at             = fminf(at, LINES - 3);
    p->low            = (int)ceilf(p->at - half);
    p->high           = (int)floorf(p->at + half);
    p->high           = p->high > LINES - 2 ? LINES - 2 : p->high;
  }
}

/* 2 to the power of x, from -126 to 126, within 0.00011 of itself. */
static RlFour
four_exp2(const RlFour x)
{
  const RlFour     up    = x + 127; /* positive, so that it is cut downwards */
  const RlFourMask whole = __builtin_convertvector(up, RlFourMask);
  const RlFour     part  = up - __builtin_convertvector(whole, RlFour);
  const RlFour     power = (RlFour)(whole << 23);
  return power * (1.0F + part * (0.6954244F + part * (0.2263077F + part * 0.0782679F)));
}

/* Of one frame: the logarithm of each whitened line, and the mean of those around it. */
static void
lines_log(const float *const x, Work *const w)
{
  w->sum[0] = 0;
  for (int k = 0; k < LINES; k += 4) {
    const RlFour white = rl_four_at(x + k) * rl_four_at(w->white + k);
    rl_four_put(w->log + k, of_two * rl_four_log2(white + 0.02F));
    for (int i = k; i < k + 4; ++i) {
      w->sum[i + 1] = w->sum[i] + w->log[i];
    }
  }
  for (int k = 0; k < LINES; ++k) {
    const int a = k > AROUND ? k - AROUND : 0, z = k + AROUND + 1 < LINES ? k + AROUND + 1 : LINES;
    w->mean[k] = (w->sum[z] - w->sum[a]) / (float)(z - a);
  }
}

/* Of one frame: how far each line sticks out of those around it. */
static void
lines_compare(const float *const x, Work *const w)
{
  const RlFour zero = rl_four(0), most = rl_four(4), even = rl_four(1);
  lines_log(x, w);
  for (int k = 0; k < LINES; k += 4) {
    const RlFour mean = rl_four_at(w->mean + k);
    const RlFour out  = rl_four_at(w->log + k) - mean;
    const RlFour more =
      rl_four_at(x + k) * rl_four_at(w->white + k) - 1.3F * four_exp2(mean * (1 / of_two)) + 0.02F;
    rl_four_put(w->contrast + k, rl_four_min(rl_four_max(out, zero), most));
    rl_four_put(w->level + k, of_two * rl_four_log2(rl_four_max(1 + 3 * more, even)));
  }
}

/* The greatest value near a place, that between two lines too. */
static float
place_look(const Place *const p, const float *const x)
{
  const int k    = (int)p->at;
  float     most = x[k] + (p->at - (float)k) * (x[k + 1] - x[k]);
  for (int q = p->low; q <= p->high; ++q) {
    most = x[q] > most ? x[q] : most;
  }
  return most;
}

static void
pitches_measure(Work *const w, RlLiftSpectra *const s)
{
  Place place[RL_LIFT_BINS];
  places_find(s->tuning, place);
  for (int t = 0; t < s->frames; ++t) {
    lines_compare(w->line + (size_t)t * LINES, w);
    for (int b = 0; b < RL_LIFT_BINS; ++b) {
      const size_t at = (size_t)t * RL_LIFT_BINS + (size_t)b;
      s->contrast[at] = place_look(&place[b], w->contrast);
      s->level[at]    = place_look(&place[b], w->level);
    }
  }
}

/* ---- what lasts ---- */

/* Contrast of a pitch's first six partials, each the greatest of three thirds of a half step. */
static float
pitch_contrast(const float *const contrast, const int pitch)
{
  static const int   partial[] = {0, 36, 57, 72, 84, 93};
  const float *const first     = contrast + 3 * (RL_LIFT_LOWEST - RL_LIFT_BIN_LOWEST + pitch);
  float              sum       = 0;
  for (int h = 0; h < 6; ++h) {
    const float *const x = first + partial[h];
    sum += rl_greater(x[0], rl_greater(x[-1], x[1]));
  }
  return sum / 6;
}

/* Means of what lies up to `far` frames away, within the clip. */
static void
slow_measure(RlLiftSpectra *const s, float *const sum)
{
  static const int far[RL_LIFT_SLOW] = {50, 200};
  for (int p = 0; p < RL_LIFT_PITCHES; ++p) {
    sum[0] = 0;
    for (int t = 0; t < s->frames; ++t) {
      sum[t + 1] = sum[t] + pitch_contrast(s->contrast + (size_t)t * RL_LIFT_BINS, p);
    }
    for (int t = 0; t < s->frames; ++t) {
      for (int i = 0; i < RL_LIFT_SLOW; ++i) {
        const int a = t > far[i] ? t - far[i] : 0,
                  z = t + far[i] + 1 < s->frames ? t + far[i] + 1 : s->frames;
        s->slow[((size_t)t * RL_LIFT_PITCHES + (size_t)p) * RL_LIFT_SLOW + (size_t)i] =
          (sum[z] - sum[a]) / (float)(z - a);
      }
    }
  }
}

/* ---- the short window ---- */

static void
edges_of_frame(const float *const y, const float tuning, float edge[RL_LIFT_PITCHES][2])
{
  for (int p = 0; p < RL_LIFT_PITCHES; ++p) {
    const float first =
      440 * powf(2, ((float)(RL_LIFT_LOWEST + p) + tuning - 69) / 12) / stroke_hertz;
    float sum[2]   = {0, 0};
    int   count[2] = {0, 0};
    for (int h = 1; h <= 12; ++h) {
      const int k = (int)lrintf(first * (float)h), high = h > 3;
      if (k < STROKES - 1) {
        sum[high] += y[k];
        ++count[high];
      }
    }
    for (int i = 0; i < 2; ++i) {
      edge[p][i] = count[i] ? sum[i] / (float)count[i] : 0;
    }
  }
}

static void
edges_measure(const Work *const w, const double energy, RlLiftSpectra *const s)
{
  static const int border[RL_LIFT_BANDS + 1] = {1, 6, 23, 70, 230};
  const float      usual                     = (float)sqrt(energy / s->frames / STROKES) + 1e-9F;
  for (int t = 0; t < s->frames; ++t) {
    const float *const stroke = w->stroke + (size_t)t * STROKES;
    float              y[STROKES];
    for (int k = 0; k < STROKES; ++k) {
      y[k] = log1pf(5 * stroke[k] / usual);
    }
    for (int b = 0; b < RL_LIFT_BANDS; ++b) {
      float sum = 0;
      for (int k = border[b]; k < border[b + 1]; ++k) {
        sum += y[k];
      }
      s->band[t * RL_LIFT_BANDS + b] = sum / (float)(border[b + 1] - border[b]);
    }
    edges_of_frame(y, s->tuning, (float(*)[2])(s->edge + (size_t)t * RL_LIFT_PITCHES * 2));
  }
}

void
rl_lift_spectra(const RlLiftSound *const sound, const RlLiftView view, RlLiftRoom *const room,
                RlLiftSpectra *const s)
{
  const size_t used = room->used;
  Work         work = {.view = view};
  work_take(&work, s->frames, room);
  if (room->memory) {
    const double energy = frames_measure(sound, &work, s->frames);
    white_find(work.line, s->frames, work.white);
    s->tuning = view.tuning > -9 ? view.tuning : tuning_find(work.line, work.white, s->frames);
    pitches_measure(&work, s);
    edges_measure(&work, energy, s);
    slow_measure(s, work.run);
  }
  room->used = used;
}
