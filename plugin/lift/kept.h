/* SPDX-License-Identifier: ISC */
/* The track's last minute in which the music moved: the sound at the lifter's rate, and where along
   the song it is. No heap, no thread; one at a time, never audio. */
#ifndef RL_PLUGIN_LIFT_KEPT_H
#define RL_PLUGIN_LIFT_KEPT_H

#include "core/chart/form.h"
#include "core/ear/phrase/lift.h"
#include "core/ear/resampler.h"
#include "plugin/shared/track_ring.h"
#include "plugin/worker/lifts.h"
#include "plugin/worker/recall.h"

enum {
  RL_KEPT_SECONDS = 60,
  RL_KEPT_BLOCK   = 256, /**< samples that share a scale */
  RL_KEPT_BLOCKS  = RL_KEPT_SECONDS * RL_LIFT_RATE / RL_KEPT_BLOCK + 2,
  RL_KEPT_MARKS   = 8192
};

/** Where a sample is. */
typedef struct {
  double   sample;   /**< since the beginning */
  int64_t  frame;    /**< likewise */
  double   quarters; /**< along the song */
  double   rate;     /**< quarters a sample */
  uint32_t run;
  unsigned chart;
  bool     lost; /**< sound before it is missing */
} RlKeptMark;

/** The sound, in 16 bits and a scale for each block, so that quiet tracks lose nothing. Its rate is
    set by rl_kept_begin(). About 6 MiB. */
typedef struct {
  double      rate; /**< frames a second */
  RlResampler fresh, side[2];
  int64_t     samples;   /**< so many have come in all */
  bool        any;       /**< there is a newest run: */
  double      run_from;  /**< its first sample, */
  int64_t     run_frame; /**< and frame, */
  int64_t     due;       /**< and the frame that comes next */
  bool        stereo;    /**< the sides have differed */
  unsigned    marks;     /**< so many have come in all */
  RlKeptMark  mark[RL_KEPT_MARKS];
  float       open[2][RL_KEPT_BLOCK]; /**< the block that is being filled */
  float       scale[RL_KEPT_BLOCKS];
  int16_t     sound[2][RL_KEPT_BLOCKS * RL_KEPT_BLOCK];
} RlKept;

/** Music that went on without a break, as far as it is kept. */
typedef struct {
  unsigned first, past;  /**< marks */
  double   from, to;     /**< samples */
  double   begins, ends; /**< quarters */
  unsigned chart;
} RlKeptRun;

/** A part of a run. */
typedef struct {
  RlKeptRun run;
  double    from, to; /**< quarters */
  bool      short_of; /**< its beginning is no longer kept */
  bool      lost;     /**< some sound in it is missing */
} RlKeptPart;

/** Begins, zeroed. `rate`: 22050 to 192000. */
void rl_kept_begin(RlKept *kept, double rate);

/** Adds what was heard. */
void rl_kept_add(RlKept *kept, const RlTrackChunk *chunk);

/** Finds the part that is wanted, along the form of that RlSnapshot.version[RL_CHART]. False: it is
    not there. */
bool rl_kept_find(const RlKept *kept, const RlLiftWant *want, const RlForm *form, unsigned chart,
                  RlKeptPart *part);

/** The sample at which the run is at so many quarters, and the other way round. */
double rl_kept_sample(const RlKept *kept, const RlKeptRun *run, double quarters);
double rl_kept_quarters(const RlKept *kept, const RlKeptRun *run, double sample);

/** Are they still there? */
bool rl_kept_has(const RlKept *kept, int64_t first, size_t count);

/** Copies `count` samples from `first` on, which are kept, of the left side (0) or the right. */
void rl_kept_copy(const RlKept *kept, int side, int64_t first, size_t count, float *to);

#endif
