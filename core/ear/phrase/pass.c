/* SPDX-License-Identifier: ISC */
#include "core/ear/phrase/pass.h"

#include "core/ear/phrase/side.h"
#include "core/ear/phrase/slots.h"

#include <math.h>

static const float side_share  = 0.25F; /* of the partials, so that a side is believed */
static const float between     = 0.12F; /* half steps from A = 440 Hz: may be the next one's */
static const float fits_better = 0.15F; /* share of the line, so that the chords are believed */
static const float rare = 0.35F, rarer = 0.25F; /* under so much, more of it for each half step */
static const float first_trust = 0.6F, trust = 0.6F; /* in the grid: first pass against second */

/* ---- notes ---- */

/* Straight and swung alike, before anything is known of the player. */
static void
prior_mix(const RlLiftGrid *const grid, const RlLiftJob *const job)
{
  static const RlLiftPlayed even = {.5F, .008F, .025F}, uneven = {.63F, .008F, .03F};
  const int                 frames = job->heard.frames;
  rl_lift_prior(grid, &even, frames, job->prior);
  rl_lift_prior(grid, &uneven, frames, job->other);
  for (int t = 0; t < frames; ++t) {
    job->prior[t] = logf(.5F * expf(job->prior[t]) + .5F * expf(job->other[t]));
  }
}

static void
notes_find(RlLiftJob *const job, const RlLiftGrid *const grid, RlLiftFound *const found)
{
  RlLiftTask task = {&job->heard, grid, job->prior, trust * first_trust};
  int32_t    slot[RL_LIFT_NOTES_MAX];
  prior_mix(grid, job);
  found->played = (RlLiftPlayed){.5F, 0, rl_lift_strays};
  found->count  = rl_lift_line(&task, &job->room, found->span);
  if (found->count > 0 && grid->beat > 0) {
    task.weight   = trust;
    found->played = rl_lift_slots(found->span, found->count, grid, rl_lift_strays, slot);
    rl_lift_prior(grid, &found->played, job->heard.frames, job->prior);
    found->count = rl_lift_line(&task, &job->room, found->span);
  }
}

/* ---- passes ---- */

void
rl_lift_job_take(RlLiftJob *const job, const size_t samples)
{
  const int frames = rl_lift_frames(samples);
  rl_lift_spectra_take(&job->spectra, frames, &job->room);
  rl_lift_heard_take(&job->heard, frames, &job->room);
  job->prior   = rl_lift_take(&job->room, (size_t)frames, sizeof(float));
  job->other   = rl_lift_take(&job->room, (size_t)frames, sizeof(float));
  job->side[0] = rl_lift_take(&job->room, samples, sizeof(float));
  job->side[1] = rl_lift_take(&job->room, samples, sizeof(float));
  job->mean    = rl_lift_take(&job->room, samples, sizeof(float));
}

static void
pass_run(RlLiftJob *const job, const RlLiftSound *const sound, const RlLiftView view,
         const RlLiftGrid *const grid, RlLiftFound *const found)
{
  rl_lift_spectra(sound, view, &job->room, &job->spectra);
  rl_lift_net(&rl_lift_net_learned, &job->spectra, &job->room, &job->heard);
  notes_find(job, grid, found);
}

/* The share of the line, by its length, that belongs to the chords `by` half steps from here. */
static float
fits(const RlLiftGrid *const grid, const RlLiftFound *const found, const int by)
{
  int in = 0, all = 0;
  for (int i = 0; i < found->count; ++i) {
    const RlLiftSpan *const span = &found->span[i];
    const int tone = (span->pitch + RL_LIFT_LOWEST + by) % 12, n = span->off - span->on;
    in += rl_lift_scale_at(grid, span->on) >> tone & 1 ? n : 0;
    all += n;
  }
  return all > 0 ? (float)in / (float)all : 0;
}

/* A record that lies between two half steps is read on the one that suits its chords; how far off
   they would have to lie counts against it. */
static void
half_step_choose(RlLiftJob *const job, const RlLiftSound *const sound, const RlLiftGrid *const grid,
                 RlLiftFound *const found)
{
  const float tuning = job->spectra.tuning;
  const float odd    = fmaxf(0, rare - fabsf(tuning));
  const int   by     = tuning > 0 ? 1 : -1;
  if (grid->beats > 0 && fabsf(tuning) > between &&
      fits(grid, found, by) > fits(grid, found, 0) + fits_better + rarer * odd) {
    pass_run(job, sound, (RlLiftView){.5F, .5F, 0, tuning - (float)by}, grid, found);
  }
}

/* Both channels as one: half the work where it does not matter from which side something comes. */
static RlLiftSound
mean_make(RlLiftJob *const job, const RlLiftSound *const sound)
{
  if (!sound->right) {
    return *sound;
  }
  for (size_t i = 0; i < sound->samples; ++i) {
    job->mean[i] = 0.5F * (sound->left[i] + sound->right[i]);
  }
  return (RlLiftSound){job->mean, NULL, sound->samples};
}

void
rl_lift_passes(RlLiftJob *const job, const RlLiftSound *const sound, const RlLiftGrid *const grid,
               RlLiftFound *const found)
{
  const RlLiftSound both  = mean_make(job, sound);
  float             angle = 0;
  pass_run(job, &both, (RlLiftView){.5F, .5F, 0, -10}, grid, found);
  half_step_choose(job, &both, grid, found);
  const float tuning = job->spectra.tuning;
  if (rl_lift_side(sound, tuning, found->span, found->count, &job->room, &angle) > side_share) {
    pass_run(job, sound, (RlLiftView){cosf(angle), sinf(angle), 1, tuning}, grid, found);
  }
}
