/* SPDX-License-Identifier: ISC */
/* The web server: the page's files, the chart, the plan, a clock, lesson sheets, and a stream of
   the state to everybody who reads it. It only shows: no request changes what others are sent. One
   thread: everything happens inside rl_web_run(). */
#ifndef RL_UI_PAGE_WEB_H
#define RL_UI_PAGE_WEB_H

#include "ui/page/access.h"
#include "ui/page/sheet_jobs.h"

#include <stdint.h>

enum {
  RL_WEB_READERS     = 120, /**< if nobody says how many */
  RL_WEB_READERS_MAX = 20000,
  RL_WEB_KEEPALIVE   = 1 /**< seconds after which the state is sent again if nothing changed */
};

typedef struct RlWeb RlWeb;

/** How it serves. */
typedef struct {
  int      listener; /**< a listening socket, which it will close; -1: only rl_web_add()'s */
  int      readers;  /**< event streams at once */
  uint32_t proxy;    /**< IPv4 in network byte order of a proxy elsewhere that says in
                        X-Forwarded-For for whom it asks, as one on this machine may; 0: none */
  const RlAccess    *access; /**< must outlive it, as the state must */
  const RlPageState *state;
  RlSheetJobDraw     draw; /**< draws lesson sheets; NULL: there are none here */
} RlWebChoice;

/** How many connections there are for so many readers. */
int rl_web_connections(int readers);

/** NULL if there is no memory. */
RlWeb *rl_web_new(const RlWebChoice *choice);
void   rl_web_free(RlWeb *web);

/** A connected socket from elsewhere (for tests), which it will close. */
bool rl_web_add(RlWeb *web, int socket);

/** What to wait on for reading, and for how long at most, in milliseconds (-1: for ever). */
int rl_web_descriptor(const RlWeb *web);
int rl_web_sheet_descriptor(const RlWeb *web); /**< a second one; -1 while no sheet is drawn */
int rl_web_timeout(const RlWeb *web);

/** Does what can be done now, without waiting. */
void rl_web_run(RlWeb *web);

/** The state has changed: sends it to all streams. */
void rl_web_publish(RlWeb *web);

/** To be called about twice a second: closes late connections, and publishes the state again if it
    has not changed for RL_WEB_KEEPALIVE. */
void rl_web_tidy(RlWeb *web);

/** How many streams are open. */
int rl_web_streams(const RlWeb *web);

#endif
