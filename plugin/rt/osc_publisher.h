/* SPDX-License-Identifier: ISC */
/* The OSC publisher: tells the sender what is true whenever that has changed. The audio thread's;
   real-time safe. */
#ifndef RL_PLUGIN_RT_OSC_PUBLISHER_H
#define RL_PLUGIN_RT_OSC_PUBLISHER_H

#include "plugin/rt/change_detector.h"
#include "plugin/rt/harp_ear.h"
#include "plugin/rt/listening.h"
#include "plugin/rt/midi_out.h"
#include "plugin/shared/frame_clock.h"
#include "plugin/shared/mailbox.h"

enum { RL_OSC_REPEAT = 2 /**< seconds after which everything is sent again */ };

typedef struct {
  bool busy; /**< call rl_osc_publisher_begin(), rl_osc_publisher_tell(), rl_osc_publisher_end();
                else leave it alone */
  bool             put;       /**< there is something in the mailbox since this was last false */
  bool             wanted;    /* send_osc and enabled */
  bool             freewheel; /* nothing may be sent */
  bool             on;        /* the receivers were told something that is not the last */
  bool             full_due;
  bool             waits; /* `waiting` found no room in the mailbox */
  unsigned         notes; /* RlMidiOut.changes, when last told */
  unsigned         hit;   /* RlHitsTold.count, when last told */
  unsigned         plays; /* RlHeardNow.changes, when last told */
  int64_t          since; /* frames since everything was sent */
  int64_t          told;  /* the time tag of the last one */
  RlOscSnapshot    waiting;
  RlFrameClock     frame_clock;
  RlChangeDetector detector;
  RlMailbox       *mailbox;

  const RlMidiOut   *phrases;
  const RlListening *listening; /**< knows how following by ear goes; NULL: nobody does */
  const RlHeardNow  *heard;     /**< what the player plays; NULL: nobody hears */
  const RlHitsTold  *hits;      /**< and hits; NULL: nobody knows */
} RlOscPublisher;

/** What is true at the follower's frame. */
RlOscSnapshot rl_osc_snapshot_of(const RlFollower *follower, const RlMidiOut *phrases,
                                 const RlListening *listening, const RlHeardNow *heard,
                                 const RlHitsTold *hits);

/** Sets up a zeroed one; `rate` in frames a second; `phrases` knows what of them sounds. */
void rl_osc_publisher_init(RlOscPublisher *publisher, double rate, const RlMidiOut *phrases,
                           RlMailbox *mailbox);

/** The ports say whether to send (send_osc, enabled), and whether the host freewheels. */
void rl_osc_publisher_tune(RlOscPublisher *publisher, bool wanted, bool freewheel);

/** Send everything as soon as possible, if anything is sent at all. */
void rl_osc_publisher_refresh(RlOscPublisher *publisher);

/** A block of `frames` begins. */
void rl_osc_publisher_begin(RlOscPublisher *publisher, const RlFollower *follower, uint32_t frames);

/** Posts what is true now, at `frame` of the block, if that is new, a note of a phrase begins or
    ends, what the player plays is new, or the processor has changed something (`changes` is another
   number than before). */
void rl_osc_publisher_tell(RlOscPublisher *publisher, const RlFollower *follower, unsigned changes,
                           int64_t frame);

/** The block ends: posts everything if that is due, and rl_osc_publisher_tell() has not done it. */
void rl_osc_publisher_end(RlOscPublisher *publisher, const RlFollower *follower, unsigned changes,
                          int64_t frame);

/** No more blocks for now: posts the last snapshot, if any was posted. Not while the audio thread
   is in a block; any thread. */
void rl_osc_publisher_stop(RlOscPublisher *publisher, const RlFollower *follower);

#endif
