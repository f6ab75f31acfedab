/* The sender: news from the audio thread to packets on the network, in the worker. What it is told
   by the desk and tells it, it does so without holding it up: the network is never waited for while
   the desk's lock is held. */
#ifndef RL_SENDER_H
#define RL_SENDER_H

#include "news.h"
#include "receivers.h"
#include "show.h"

/** Private. */
typedef struct {
  pthread_mutex_t lock; /* hosts may have more than one worker thread */
  RlReceivers     receivers;
  RlDeskTexts     texts;
  RlShow          was;         /* as it was sent last */
  bool            on;          /* and it was not the last */
  bool            listed;      /* `receivers` are those of `texts` */
  unsigned        chart, plan; /* sent last: as in RlNews */
  RlNews          latest;
  char            problem[RL_PROBLEM_ROOM];
} RlSender;

/** Opens a zeroed one. */
void rl_sender_open(RlSender *sender);

/** Sends what is in the mailbox; of news half a second old or older only the newest. Tells the desk
    what is wrong with the receivers. Never waits for the network. Any thread but the audio
    thread's. */
void rl_sender_work(RlSender *sender, RlMailbox *mailbox, RlDesk *desk);

/** Never waits. */
void rl_sender_close(RlSender *sender);

#endif
