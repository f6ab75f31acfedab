/* On the air: when the audio thread has news for the sender. The audio thread's; real-time safe. */
#ifndef RL_AIR_H
#define RL_AIR_H

#include "audience.h"
#include "news.h"
#include "wall.h"

enum { RL_AIR_REPEAT = 2 /**< seconds after which everything is sent again */ };

typedef struct {
  bool       busy;   /**< call rl_air_begin(), rl_air_tell(), rl_air_end(); else leave it alone */
  bool       put;    /**< there is something in the mailbox since this was last false */
  bool       wanted; /* send_osc and enabled */
  bool       freewheel; /* nothing may be sent */
  bool       on;        /* the receivers were told something that is not the last */
  bool       full_due;
  bool       waits; /* `waiting` found no room in the mailbox */
  unsigned   notes; /* RlMidiOut.changes, when last told */
  int64_t    since; /* frames since everything was sent */
  int64_t    told;  /* the time tag of the last news */
  RlNews     waiting;
  RlWall     wall;
  RlAudience audience;
  RlMailbox *mailbox;

  const RlMidiOut *phrases;
} RlAir;

/** Sets up a zeroed one; `rate` in frames a second; `phrases` knows what of them sounds. */
void rl_air_init(RlAir *air, double rate, const RlMidiOut *phrases, RlMailbox *mailbox);

/** The ports say whether to send (send_osc, enabled), and whether the host freewheels. */
void rl_air_tune(RlAir *air, bool wanted, bool freewheel);

/** Send everything as soon as possible, if anything is sent at all. */
void rl_air_refresh(RlAir *air);

/** A block of `frames` begins. */
void rl_air_begin(RlAir *air, const RlLeader *leader, uint32_t frames);

/** Posts what is true now, at `frame` of the block, if it is news, a note of a phrase begins or
    ends, or the band has changed something (`changes` is another number than before). */
void rl_air_tell(RlAir *air, const RlLeader *leader, unsigned changes, int64_t frame);

/** The block ends: posts everything if that is due, and rl_air_tell() has not done it. */
void rl_air_end(RlAir *air, const RlLeader *leader, unsigned changes, int64_t frame);

/** No more blocks for now: posts the last news, if any were sent. Not while the audio thread is in
    a block; any thread. */
void rl_air_stop(RlAir *air, const RlLeader *leader);

#endif
