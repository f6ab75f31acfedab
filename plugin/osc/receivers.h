/* SPDX-License-Identifier: ISC */
/* The receivers: whom osc_to names, a socket each, and what is wrong with them. Nothing here waits
   for the network, and one receiver never holds up another. Any thread but the audio thread's, one
   at a time. */
#ifndef RL_PLUGIN_OSC_RECEIVERS_H
#define RL_PLUGIN_OSC_RECEIVERS_H

#include "plugin/osc/lookup.h"
#include "plugin/shared/snapshot.h"

enum { RL_RECEIVERS_MAX = 32 };

/** One of them. Private, as all of it. */
typedef struct {
  RlSlice   word; /* `host:port` in RlReceivers.list */
  RlSlice   host; /* of that, without brackets */
  uint16_t  port;
  bool      number;  /* the host is written in numbers: nothing to look up */
  bool      leaving; /* osc_to names it no more */
  bool      behind;  /* it must be sent everything */
  int       doubt;   /* calls of rl_receivers_check() until it counts as well again */
  int       socket;  /* -1: none */
  int       why;     /* what is wrong: an errno, a negative EAI_ of getaddrinfo(), 0 nothing */
  int64_t   retry;   /* nanoseconds of CLOCK_MONOTONIC: not looked up again before */
  RlAddress address;
  RlLookup *lookup; /* under way */
} RlReceiver;

/** Zeroed at the beginning. */
typedef struct {
  char       list[2][RL_ADDRESS_SIZE]; /* osc_to, and the one before it */
  int        which;                    /* of the two */
  int        count;
  bool       too_many;
  RlReceiver at[RL_RECEIVERS_MAX];
} RlReceivers;

/** Who is meant. */
typedef enum {
  RL_RECEIVERS_KNOWING, /**< have been sent everything before */
  RL_RECEIVERS_BEHIND,  /**< have not */
  RL_RECEIVERS_ALL,     /**< both */
  RL_RECEIVERS_LEAVING  /**< osc_to no longer names them */
} RlWho;

/** A new list, as osc_to has it; words that are no `host:port` are left out. Those already there
    stay as they are. Those no longer named are leaving, until rl_receivers_part(). */
void rl_receivers_set(RlReceivers *receivers, RlSlice list);

/** Those leaving are gone. */
void rl_receivers_part(RlReceivers *receivers);

/** Takes up what has been found out meanwhile, and tries again where it did not work. */
void rl_receivers_try(RlReceivers *receivers);

/** Those without a failure between three calls have nothing wrong with them any more: the system
   tells of some troubles every few seconds only. */
void rl_receivers_check(RlReceivers *receivers);

/** Is there anyone? */
bool rl_receivers_any(const RlReceivers *receivers, RlWho who);

/** Sends one packet; what does not go now is lost. */
void rl_receivers_send(RlReceivers *receivers, RlWho who, const void *packet, size_t size);

/** Those behind have now been sent everything; or, where not the whole was sent, all are behind. */
void rl_receivers_told(RlReceivers *receivers, bool whole);

/** Appends what is wrong, in words; nothing if nothing is. */
void rl_receivers_problem(const RlReceivers *receivers, RlText *text);

/** All are gone. */
void rl_receivers_close(RlReceivers *receivers);

#endif
