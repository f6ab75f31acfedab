/* SPDX-License-Identifier: ISC */
#include "core/voice/voice.h"

#include <math.h>

/* Seconds. A slurred note takes over from the one before without an attack of its own. */
static const double attack = 0.03, slurred = 0.012, release = 0.06, shortest = 0.01;
static const double scoop_most = 0.12, fall_most = 0.18, glide_part = 0.5; /* of its note */
static const double fall_deep = 3;                                         /* half steps */
static const double brightest = 7000;                                      /* Hz */

static const double two_pi = 6.283185307179586;

enum { PARTIALS = 12 };

/* ---- when ---- */

/* Ticks of a beat that has two halves; 0: it has three parts. */
static int32_t
halved_beat(const RlPhrase *const p)
{
  const bool dotted = p->meter_unit == 8 && p->meter_beats % 3 == 0;
  return dotted || !p->meter_unit ? 0 : RL_TICKS * 4 / p->meter_unit;
}

/* Only what lies on the half itself is swung: thirds and quarters of a beat say where they are. */
static double
swung(const int32_t ticks, const int32_t beat, const double swing)
{
  const int32_t in = beat ? (ticks % beat + beat) % beat : 0;
  return beat && in * 2 == beat ? ticks - in + swing * beat : ticks;
}

static double
seconds_of(const RlPhrase *const p, const RlVoiceHow *const how, const int32_t ticks)
{
  const double tempo = p->tempo > 0 ? p->tempo : how->tempo;
  return swung(ticks, halved_beat(p), how->swing) * 60 / (RL_TICKS * tempo * how->speed);
}

/* From the first note. */
static double
starts_at(const RlPhrase *const p, const RlVoiceHow *const how, const int32_t ticks)
{
  return seconds_of(p, how, ticks) - seconds_of(p, how, p->note[0].at);
}

int64_t
rl_voice_frames(const RlPhrase *const p, const RlVoiceHow *const how)
{
  double ends = 0;
  for (int i = 0; i < p->notes; ++i) {
    ends = fmax(ends, fmax(starts_at(p, how, p->note[i].at + p->note[i].lasts),
                           starts_at(p, how, p->note[i].at) + shortest));
  }
  return (int64_t)ceil((ends + release) * how->rate);
}

/* ---- a note ---- */

typedef struct {
  double  from, to; /* frames */
  double  pitch;    /* Hz */
  double  level;
  double  rise, fall; /* frames of its attack, and of its end after `to` */
  double  scoop;      /* frames until it has reached its pitch */
  double  falls;      /* frames that it falls at its end */
  int     partials;
  double  strength[PARTIALS];
  int64_t end; /* the first frame after it */
} Note;

/* As a reed has them: odd ones a little stronger, and fewer the higher the note. */
static void
partials_choose(Note *const n, const double rate)
{
  const double highest = 0.45 * rate;
  const double most    = fmin(brightest, highest);
  double       sum     = 0;
  n->partials          = 0;
  while (n->partials < PARTIALS && (n->partials + 1) * n->pitch < (n->partials ? most : highest)) {
    const int    k     = ++n->partials;
    const double edge  = 1 - k * n->pitch / (most + n->pitch);
    n->strength[k - 1] = (k % 2 ? 1 : 0.7) * pow(k, -1.3) * fmax(edge, 0.05);
    sum += n->strength[k - 1] * n->strength[k - 1] / 2;
  }
  for (int k = 0; k < n->partials; ++k) {
    n->strength[k] /= sqrt(sum);
  }
}

static bool
slurred_into(const RlPhrase *const p, const int index)
{
  int before = index - 1;
  while (before >= 0 && p->note[before].at == p->note[index].at) {
    --before;
  }
  return before >= 0 && (p->note[before].articulation & RL_ARTICULATION_SLUR) &&
         p->note[before].at + p->note[before].lasts >= p->note[index].at;
}

static int
together(const RlPhrase *const p, const int index)
{
  int count = 0;
  for (int i = index; i >= 0 && p->note[i].at == p->note[index].at; --i) {
    ++count;
  }
  for (int i = index + 1; i < p->notes && p->note[i].at == p->note[index].at; ++i) {
    ++count;
  }
  return count;
}

static Note
note_of(const RlPhrase *const p, const RlVoiceHow *const how, const int index)
{
  const RlPhraseNote *const from  = &p->note[index];
  const double              scoop = from->articulation & RL_ARTICULATION_SCOOP ? scoop_most : 0;
  const double              falls = from->articulation & RL_ARTICULATION_FALL ? fall_most : 0;
  Note                      n     = {.from  = starts_at(p, how, from->at) * how->rate,
                                     .to    = starts_at(p, how, from->at + from->lasts) * how->rate,
                                     .pitch = 440 * exp2((rl_phrase_pitch(p, from) - 69) / 12.0),
                                     .level = RL_VOICE_LEVEL / sqrt(together(p, index)),
                                     .rise  = (slurred_into(p, index) ? slurred : attack) * how->rate,
                                     .fall  = release * how->rate};
  n.to                            = fmax(n.to, n.from + shortest * how->rate);
  n.rise                          = fmin(n.rise, 0.5 * (n.to - n.from));
  n.scoop                         = fmin(scoop * how->rate, glide_part * (n.to - n.from));
  n.falls                         = fmin(falls * how->rate, glide_part * (n.to - n.from));
  n.end                           = (int64_t)ceil(n.to + n.fall);
  partials_choose(&n, how->rate);
  return n;
}

/* From 0 to 1 without a corner. */
static double
soft(const double part)
{
  const double x = fmin(fmax(part, 0), 1);
  return x * x * (3 - 2 * x);
}

static double
loudness(const Note *const n, const double frame)
{
  return n->level * soft((frame - n->from) / n->rise) * soft((n->to + n->fall - frame) / n->fall);
}

/* The partials at an angle whose sine and cosine are given; Clenshaw's recurrence for a sine
   series (C. W. Clenshaw, A note on the summation of Chebyshev series, MTAC 9, 1955). */
static double
partials_sum(const Note *const n, const double sine, const double cosine)
{
  double one = 0, two = 0;
  for (int k = n->partials - 1; k >= 0; --k) {
    const double next = n->strength[k] + 2 * cosine * one - two;
    two               = one;
    one               = next;
  }
  return sine * one;
}

static double
radians_at(const Note *const n, const double frame, const double rate)
{
  double below = frame < n->from + n->scoop ? 1 - soft((frame - n->from) / n->scoop) : 0;
  below += n->falls > 0 ? fall_deep * soft((frame - (n->to - n->falls)) / (n->falls + n->fall)) : 0;
  return two_pi * n->pitch * exp2(-below / 12) / rate;
}

static void
note_add(const Note *const n, const double rate, float *const sound, const int64_t frames)
{
  const int64_t end  = n->end < frames ? n->end : frames;
  const double  bent = n->from + n->scoop, falls = n->falls > 0 ? n->to - n->falls : (double)end;
  double        step = radians_at(n, n->from, rate);
  double        c = 1, s = 0, by_c = cos(step), by_s = sin(step);
  for (int64_t i = (int64_t)ceil(n->from); i < end; ++i) {
    sound[i] += (float)(loudness(n, (double)i) * partials_sum(n, s, c));
    if ((n->scoop > 0 && (double)i <= bent) || (double)i >= falls) {
      step = radians_at(n, (double)i, rate);
      by_c = cos(step);
      by_s = sin(step);
    }
    const double turned = c * by_c - s * by_s;
    s                   = s * by_c + c * by_s;
    c                   = turned;
  }
}

void
rl_voice_play(const RlPhrase *const p, const RlVoiceHow *const how, float *const sound,
              const int64_t frames)
{
  for (int i = 0; i < p->notes; ++i) {
    const Note n = note_of(p, how, i);
    note_add(&n, how->rate, sound, frames);
  }
}
