/* SPDX-License-Identifier: ISC */
/* What the audio thread tells the OSC sender of one instant. Plain data. */
#ifndef RL_PLUGIN_SHARED_OSC_SNAPSHOT_H
#define RL_PLUGIN_SHARED_OSC_SNAPSHOT_H

#include "core/harmony/lamps.h"
#include "plugin/shared/harp_ear_desk.h"
#include "plugin/shared/hearing.h"
#include "plugin/shared/hits_told.h"
#include "plugin/shared/snapshot.h"

/** A note of a phrase as it was begun. */
typedef struct {
  int32_t bar;                     /**< as RlPlace.bar */
  float   beat, beats;             /**< where in it, from 1, and how long; of that bar's own */
  uint8_t hole, technique, degree; /**< as in RlLaneNote */
  uint8_t note;                    /**< MIDI number */
  uint8_t planned;                 /**< index in RlPlan.planned */
} RlBegunNote;

/** Everything about one instant; complete in itself, so that any of them may be passed over. */
typedef struct {
  int64_t   when;  /**< nanoseconds since 1970 (UTC) */
  int64_t   frame; /**< since the beginning */
  bool      full;  /**< send everything, changed or not */
  bool      last;  /**< the last one: the lamps go out */
  bool      moved; /**< a beat, a jump, a start: the place is worth telling */
  bool      rolling;
  float     tempo, beat, sure; /**< as the ports and Place have them; beat from 1, 0 nowhere */
  float     beats_to_next;
  double    beats_per_frame;
  int       chorus, bar, bars; /**< bar 0: nowhere, or the song is over */
  int       beats, unit;       /**< of this bar's meter; 0 nowhere */
  bool      sounds, follows;   /**< is there a chord now, and another one to come? */
  RlHarmony now, next;
  RlTarget  target; /**< of the next chord */
  RlTarget  landed; /**< of the chord now */
  RlShow    show;
  RlKey     key; /**< the song sounds in */
  RlHand    hand;
  int       position;
  unsigned  chart, plan; /**< RlSnapshot.version[]: another number is another text */
  unsigned  notes; /**< RlMidiOut.changes: another number, and other notes of the phrases sound */
  RlHearingState hearing; /**< how following by ear goes, and what of it is not the place */
  bool           tuned;
  float          cents, key_sure;
  int8_t         key_heard;
  float          loop_from, loop_to; /**< as Place has them; both 0: no loop */
  uint8_t        sounding;           /**< how many do */
  RlBegunNote    note[RL_PHRASE_TOGETHER];
  RlHeardNow     heard; /**< what the player plays */
  RlHitsTold     hits;  /**< and hits */
} RlOscSnapshot;

#endif
