/* SPDX-License-Identifier: ISC */
/* The web server: the page's files, the chart, the plan, a clock, lesson sheets, and a stream of
   the state to everybody who reads it. It only shows: no request changes what others are sent. One
   thread: everything happens inside rl_web_run(). */
#ifndef RL_UI_PAGE_WEB_H
#define RL_UI_PAGE_WEB_H

#include "ui/page/access.h"
#include "ui/page/sheet_jobs.h"

enum {
  RL_WEB_KEEPALIVE = 2 /**< seconds after which the state is sent again if nothing changed */
};

typedef struct RlWeb RlWeb;

/** Serves on a listening socket, which it will close; -1: only on those given by rl_web_add().
    `access` and `state` must outlive it. `draw` draws lesson sheets; NULL: there are none here.
   NULL if there is no memory. */
RlWeb *rl_web_new(int listener, const RlAccess *access, const RlPageState *state,
                  RlSheetJobDraw draw);
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

/** To be called about twice a second: closes idle connections, and publishes the state again if it
    has not changed for RL_WEB_KEEPALIVE. */
void rl_web_tidy(RlWeb *web);

/** How many streams are open. */
int rl_web_streams(const RlWeb *web);

#endif
