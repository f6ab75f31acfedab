/* SPDX-License-Identifier: ISC */
/* What the player is heard to play, and the bend trainer, as plain data. */
#ifndef RL_UI_MODEL_PLAYED_H
#define RL_UI_MODEL_PLAYED_H

#include "core/trainer/trainer.h"
#include "core/trainer/tries.h"

enum { RL_PLAYED_NOTES = 3 };

/** A note that sounds; `cents` above the equal-tempered pitch of `midi`. */
typedef struct {
  int         hole; /**< from 1 */
  RlTechnique technique;
  int         midi;
  double      cents;
} RlPlayedSound;

/** What sounds: a urn:reedlamp:Played (plugin/PORTS.md). */
typedef struct {
  int           count; /**< 0: nothing does */
  RlPlayedSound note[RL_PLAYED_NOTES];
  double        level, sure;     /**< dB full scale; 0 to 1 */
  double        heard_at, since; /**< seconds on the plugin's clock: now, and when it began */
  int           chorus, bar;     /**< where in the form it began; bar 0: nowhere */
  double        beat;            /**< from 1 */
} RlPlayedReport;

/** A note of the plan, or a target, that was played: a urn:reedlamp:Hit (plugin/PORTS.md). */
typedef struct {
  bool        target;   /**< else a note of the plan */
  double      quarters; /**< where it is planned, or its chord comes: from bar 1 of chorus 1 */
  int         hole;     /**< as planned; from 1 */
  RlTechnique technique;
} RlHitReport;

enum { RL_HITS_KEPT = 64 };

/** The hits since the music last jumped. */
typedef struct {
  int         count;
  RlHitReport hit[RL_HITS_KEPT]; /**< the newest first */
  bool        lands;             /**< `landed` was landed on just now */
  RlHitReport landed;
} RlViewHits;

/** The bend trainer. */
typedef struct {
  const RlTrainer *on;     /**< the aim and its tries */
  const RlTries   *tries;  /**< of all notes */
  RlTemper         temper; /**< how the reeds are tuned */
  bool             sounds; /**< the aimed note does, and then how far off */
  double           off;
  int              missed; /**< bends that are missed more often than not, to choose from */
} RlViewTrainer;

#endif
