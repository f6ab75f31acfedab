/* SPDX-License-Identifier: ISC */
/* lifts SOUND LEAST BEAT ORIGIN FEEL [SCALE...]: the notes of a clip of at most 20 s as
   RlLiftedNote has them, a line each: on, off, MIDI number, how sure, twelfth, scooped; where LEAST
   is 0: on, off, MIDI number, twelfth, then what is asked of it (trust.h). FEEL as in RlLiftFeel,
   SCALE of each beat in hexadecimal digits. */
#include "core/ear/phrase/pass.h"
#include "core/ear/phrase/slots.h"
#include "tests/ear/lift/clip.h"

#include <stdio.h>

enum { BEATS_MAX = 1024, FIRST_SCALE = 6 };

static RlLifted    lifted;
static RlLiftFound found;
static float       asked[RL_LIFT_NOTES_MAX][RL_LIFT_ASKED];

/* All notes as the passes leave them, and what is asked of each. */
static void
asked_print(const RlLiftSound *const sound, const RlLiftGrid *const grid, void *const memory)
{
  RlLiftJob job                     = {.room = {memory, 0, 0}};
  int32_t   slot[RL_LIFT_NOTES_MAX] = {0};
  rl_lift_job_take(&job, sound->samples);
  rl_lift_passes(&job, sound, grid, &found);
  const RlLiftPhrase phrase = {found.span, found.count, &job.heard, &job.spectra, grid, job.prior};
  rl_lift_trust_ask(&phrase, asked);
  if (found.count > 0 && grid->beat > 0) {
    rl_lift_slots(found.span, found.count, grid, rl_lift_strays, slot);
  }
  for (int i = 0; i < found.count; ++i) {
    const RlLiftSpan *const span = &found.span[i];
    printf("%.3f %.3f %d %d", span->on * .01, span->off * .01, span->pitch + RL_LIFT_LOWEST,
           slot[i]);
    for (int k = 0; k < RL_LIFT_ASKED; ++k) {
      printf(" %.4g", (double)asked[i][k]);
    }
    putchar('\n');
  }
}

static void
notes_print(const RlLiftSound *const sound, const RlLiftGrid *const grid, const float least,
            void *const memory)
{
  rl_lift(sound, grid, least, memory, &lifted);
  for (int i = 0; i < lifted.notes; ++i) {
    const RlLiftedNote *const n = &lifted.note[i];
    printf("%.3f %.3f %d %.4f %d %d %d\n", (double)n->on, (double)n->off, n->midi, (double)n->sure,
           n->twelfth, n->scooped, n->fell);
  }
}

int
main(const int argc, char **const argv)
{
  static uint16_t scale[BEATS_MAX];
  float          *side[2];
  size_t          samples;
  if (argc < FIRST_SCALE || !clip_read(argv[1], side, &samples)) {
    fprintf(stderr, "usage: lifts SOUND LEAST BEAT ORIGIN FEEL [SCALE...]\n");
    return 2;
  }
  const float least = strtof(argv[2], NULL);
  RlLiftGrid  grid  = {.beat   = strtod(argv[3], NULL),
                       .origin = strtod(argv[4], NULL),
                       .scale  = scale,
                       .feel   = (RlLiftFeel)atoi(argv[5])};
  for (int i = FIRST_SCALE; i < argc && grid.beats < BEATS_MAX; ++i) {
    scale[grid.beats++] = (uint16_t)strtoul(argv[i], NULL, 16);
  }
  samples                  = samples < RL_LIFT_SAMPLES_MAX ? samples : RL_LIFT_SAMPLES_MAX;
  const RlLiftSound sound  = {side[0], side[1], samples};
  void *const       memory = malloc(rl_lift_bytes(samples));
  if (!memory) {
    abort();
  }
  if (least > 0) {
    notes_print(&sound, &grid, least, memory);
  } else {
    asked_print(&sound, &grid, memory);
  }
  free(memory);
  free(side[0]);
  free(side[1]);
  return 0;
}
