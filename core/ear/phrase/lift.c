/* SPDX-License-Identifier: ISC */
/* The whole job: what the passes wrote down is judged, sifted, trimmed. */
#include "core/ear/phrase/lift.h"

#include "core/ear/phrase/glide.h"
#include "core/ear/phrase/pass.h"
#include "core/ear/phrase/side.h"
#include "core/ear/phrase/slots.h"
#include "core/ear/resampler.h"

#include <math.h>
#include <stdbool.h>

enum { SILENT_ONE_IN = 50 };

static const double silent_share = 0.02, hiss_share = 0.05; /* of the clip */
static const float  late = 0.003F, rings = 0.02F;        /* seconds, measured on rendered phrases */
enum { END_LOOK = 15, EDGE = 3, TAIL = 17, APART = 10 }; /* frames */

static const float end_drop = 1.0F; /* of a logarithm, two of them summed */

/* ---- sound ---- */

size_t
rl_lift_samples(const size_t frames, const double rate)
{
  return (size_t)((double)frames * RL_LIFT_RATE / rate);
}

void
rl_lift_resample(const float *const sound, const size_t frames, const int channels,
                 const double rate, float *const out)
{
  RlResampler  resampler;
  const size_t wanted = rl_lift_samples(frames, rate);
  size_t       made   = 0;
  rl_resampler_init(&resampler, rate * RL_EAR_RATE / RL_LIFT_RATE);
  for (size_t i = 0; made < wanted; ++i) {
    float     two[2];
    const int count =
      rl_resampler_push(&resampler, i < frames ? sound[i * (size_t)channels] : 0, two);
    for (int k = 0; k < count && made < wanted; ++k) {
      out[made++] = two[k];
    }
  }
}

/* ---- notes ---- */

/* Leaves out what is less sure than `least`; a note just before one that goes lasts as long. */
static void
notes_sift(const RlLiftJob *const job, const RlLiftGrid *const grid, const float least,
           RlLiftFound *const found)
{
  const RlLiftPhrase phrase = {found->span,   found->count, &job->heard,
                               &job->spectra, grid,         job->prior};
  float              sure[RL_LIFT_NOTES_MAX];
  int                kept = 0;
  rl_lift_trust(&phrase, sure);
  for (int i = 0; i < found->count; ++i) {
    const RlLiftSpan  span = found->span[i];
    RlLiftSpan *const last = kept ? &found->span[kept - 1] : NULL;
    if (sure[i] >= least) {
      found->span[kept]   = span;
      found->sure[kept++] = sure[i];
    } else if (last && last->off >= span.on - 3 && rl_lift_apart(last->pitch - span.pitch) <= 3) {
      last->off = span.off;
    }
  }
  found->count = kept;
}

/* Until which frame a note falls, 0: it does not; `until` is where the next begins. */
static int
fall_end(const RlLiftJob *const job, const RlLiftSpan *const span, const int until)
{
  return rl_lift_fall(&job->spectra, span, until <= span->off + 1 ? span->off : until);
}

/* Is a note what the one before it passes as it falls? */
static bool
is_tail(const RlLiftJob *const job, const RlLiftSpan *const before, const RlLiftSpan *const span)
{
  return span->on <= before->off + APART && span->pitch < before->pitch &&
         span->off - span->on <= TAIL && fall_end(job, before, span->off) > span->on;
}

/* What a note that falls passes on its way down is no note of its own. */
static void
tails_take(const RlLiftJob *const job, RlLiftFound *const found)
{
  int kept = 0;
  for (int i = 0; i < found->count; ++i) {
    if (kept && is_tail(job, &found->span[kept - 1], &found->span[i])) {
      found->span[kept - 1].off = found->span[i].off;
    } else {
      found->span[kept]   = found->span[i];
      found->sure[kept++] = found->sure[i];
    }
  }
  found->count = kept;
}

/* One note from the first instant to the last: nothing begins, so a band holds it, or nobody. */
static bool
only_held(const RlLiftJob *const job, const RlLiftFound *const found)
{
  const RlLiftSpan *const span = &found->span[0];
  return found->count == 1 && span->on <= EDGE && span->off >= job->spectra.frames - EDGE;
}

/* How loud the short window is under a pitch. */
static float
edge_at(const RlLiftSpectra *const s, const int frame, const int pitch)
{
  const float *const edge = s->edge + ((size_t)frame * RL_LIFT_PITCHES + (size_t)pitch) * 2;
  return edge[0] + edge[1];
}

/* Where a note ends that another follows at once: the path fills short rests, which cost it more
   than a note held too long. It goes on as long as the short window is near its loudest. */
static int
end_find(const RlLiftSpectra *const s, const RlLiftSpan *const span)
{
  const int first = span->on + 2 > span->off - END_LOOK ? span->on + 2 : span->off - END_LOOK;
  float     most  = 0;
  int       end   = span->off < s->frames ? span->off : s->frames;
  for (int t = first; t < end; ++t) {
    most = fmaxf(most, edge_at(s, t, span->pitch));
  }
  while (end > span->on + RL_LIFT_SHORTEST && edge_at(s, end - 1, span->pitch) < most - end_drop) {
    --end;
  }
  return end;
}

static void
ends_trim(const RlLiftJob *const job, RlLiftFound *const found)
{
  for (int i = 0; i + 1 < found->count; ++i) {
    RlLiftSpan *const span = &found->span[i];
    if (span[1].on <= span->off + 1) {
      span->off = end_find(&job->spectra, span);
    }
  }
}

static void
notes_write(const RlLiftJob *const job, const RlLiftFound *const found, const int32_t *const slot,
            RlLifted *const lifted)
{
  lifted->notes = found->count;
  for (int i = 0; i < found->count; ++i) {
    const RlLiftSpan *const span   = &found->span[i];
    const int               next   = i + 1 < found->count ? span[1].on : job->spectra.frames;
    const bool              joined = next <= span->off + 1;
    lifted->note[i]                = (RlLiftedNote){
                     .on      = (float)span->on / RL_LIFT_FRAMES_EACH + late,
                     .off     = (float)span->off / RL_LIFT_FRAMES_EACH - (joined ? 0 : rings),
                     .sure    = found->sure[i],
                     .midi    = span->pitch + RL_LIFT_LOWEST,
                     .twelfth = slot[i],
                     .scooped = rl_lift_scooped(&job->spectra, span),
                     .fell    = fall_end(job, span, next) > 0,
    };
  }
}

/* ---- the job ---- */

static size_t
samples_within(const size_t samples)
{
  return samples < RL_LIFT_SAMPLES_MAX ? samples : RL_LIFT_SAMPLES_MAX;
}

size_t
rl_lift_bytes(const size_t samples)
{
  RlLiftJob         job   = {.room = {NULL, 0, 0}};
  const RlLiftSound none  = {NULL, NULL, samples_within(samples)};
  const RlLiftTask  task  = {.heard = &job.heard};
  const RlLiftView  view  = {0};
  float             angle = 0;
  rl_lift_job_take(&job, none.samples);
  rl_lift_spectra(&none, view, &job.room, &job.spectra);
  rl_lift_net(&rl_lift_net_learned, &job.spectra, &job.room, &job.heard);
  rl_lift_line(&task, &job.room, NULL);
  rl_lift_side(&none, 0, NULL, 0, &job.room, &angle);
  return job.room.most;
}

/* Noise of -1 to 1, the same for a sample every time (the finaliser of MurmurHash3, public domain,
   from memory). */
static float
noise_at(const uint32_t sample)
{
  uint32_t bits = sample;
  bits          = (bits ^ bits >> 16U) * 0x85EBCA6BU;
  bits          = (bits ^ bits >> 13U) * 0xC2B2AE35U;
  return (float)(bits ^ bits >> 16U) / 2147483648.0F - 1;
}

static double
mean_square(const float *const sound, const size_t count)
{
  double sum = 0;
  for (size_t k = 0; k < count; ++k) {
    sum += (double)sound[k] * (double)sound[k];
  }
  return count ? sum / (double)count : 0;
}

/* How loud a hiss a side is heard with: none but where it falls silent for one frame in fifty,
   between its notes. */
static float
hiss_wanting(const float *const sound, const size_t samples)
{
  const double loud   = sqrt(mean_square(sound, samples));
  const double least  = silent_share * loud;
  const size_t each   = RL_LIFT_RATE / RL_LIFT_FRAMES_EACH;
  size_t       silent = 0;
  for (size_t at = 0; at + each <= samples; at += each) {
    silent += mean_square(sound + at, each) < least * least;
  }
  return silent * each * SILENT_ONE_IN > samples ? (float)(hiss_share * loud) : 0;
}

/* The net learned from records, and they hiss: what is cleaner than any is taken for a key held
   down. */
static RlLiftSound
hissed(const RlLiftJob *const job, const RlLiftSound *const sound, const size_t samples)
{
  const float *const side[2] = {sound->left, sound->right};
  for (int i = 0; i < 2 && side[i]; ++i) {
    const float hiss = hiss_wanting(side[i], samples);
    for (size_t k = 0; k < samples; ++k) {
      job->side[i][k] = side[i][k] + hiss * noise_at((uint32_t)k);
    }
  }
  return (RlLiftSound){job->side[0], sound->right ? job->side[1] : NULL, samples};
}

void
rl_lift(const RlLiftSound *const sound, const RlLiftGrid *const grid, const float least,
        void *const memory, RlLifted *const lifted)
{
  RlLiftJob   job = {.room = {memory, 0, 0}};
  RlLiftFound found;
  int32_t     slot[RL_LIFT_NOTES_MAX] = {0};
  rl_lift_job_take(&job, samples_within(sound->samples));
  const RlLiftSound heard = hissed(&job, sound, samples_within(sound->samples));
  rl_lift_passes(&job, &heard, grid, &found);
  notes_sift(&job, grid, least, &found);
  tails_take(&job, &found);
  found.count = only_held(&job, &found) ? 0 : found.count;
  if (found.count > 0 && grid->beat > 0) {
    found.played = rl_lift_slots(found.span, found.count, grid, rl_lift_strays, slot);
  }
  ends_trim(&job, &found);
  notes_write(&job, &found, slot, lifted);
  lifted->tuning = job.spectra.tuning;
  lifted->swing  = found.played.swing;
  lifted->behind = found.played.behind;
}
