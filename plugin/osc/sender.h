/* SPDX-License-Identifier: ISC */
/* The sender: what the audio thread tells becomes packets on the network, in the worker. What it is
   told by the document and tells it, it does so without holding it up: the network is never waited
   for while the document's lock is held. */
#ifndef RL_PLUGIN_OSC_SENDER_H
#define RL_PLUGIN_OSC_SENDER_H

#include "plugin/osc/osc_state.h"
#include "plugin/osc/receivers.h"
#include "plugin/shared/mailbox.h"
#include "plugin/worker/document.h"

/** Private. */
typedef struct {
  pthread_mutex_t lock; /* hosts may have more than one worker thread */
  RlReceivers     receivers;
  RlDocumentTexts texts;
  RlOscState      was;         /* as it was sent last */
  bool            on;          /* and it was not the last */
  bool            whole;       /* nothing was left out for want of memory */
  bool            listed;      /* `receivers` are those of `texts` */
  unsigned        chart, plan; /* sent last: as in RlOscSnapshot */
  unsigned        practice;    /* likewise, as in RlDocumentTexts */
  RlOscSnapshot   latest;
  char            problem[RL_PROBLEM_SIZE];
} RlSender;

/** Opens a zeroed one. */
void rl_sender_open(RlSender *sender);

/** Sends what is in the mailbox; of snapshots half a second old or older only the newest. Tells the
   document what is wrong with the receivers. Never waits for the network. Any thread but the audio
    thread's. */
void rl_sender_work(RlSender *sender, RlMailbox *mailbox, RlDocument *document);

/** Never waits. */
void rl_sender_close(RlSender *sender);

#endif
