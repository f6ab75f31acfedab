/* SPDX-License-Identifier: ISC */
/* The web server: the page's files, the chart, the plan, a clock, and a stream of news to everybody
   who reads. It shows; nothing that a browser sends changes anything here but what it is answered.
   One thread: everything happens inside rl_web_run(). Nothing is queued for a reader: whoever can
   take something again gets the latest state. */
#ifndef RL_UI_PAGE_WEB_H
#define RL_UI_PAGE_WEB_H

#include "ui/page/access.h"
#include "ui/page/sheet_jobs.h"

#include <netinet/in.h>

enum {
  RL_WEB_BEAT = 2 /**< seconds after which the state is sent again if nothing changed */
};

typedef struct RlWeb RlWeb;

/** Serves on a listening socket, which it will close; -1: on those given by rl_web_add() alone.
    `door` and `heard` must outlive it. `draw` draws lesson sheets; NULL: there are none here. NULL
    if there is no memory. */
RlWeb *rl_web_new(int listener, const RlAccess *door, const RlPageState *heard,
                  RlSheetJobDraw draw);
void   rl_web_free(RlWeb *web);

/** A connected socket from elsewhere (for tests), which it will close. */
bool rl_web_add(RlWeb *web, int socket);

/** What to wait on for reading, and for how long at most, in milliseconds (-1: for ever). */
int rl_web_descriptor(const RlWeb *web);
int rl_web_drawing(const RlWeb *web); /**< a second one, -1 as long as no sheet is drawn */
int rl_web_patience(const RlWeb *web);

/** Does what can be done now, without waiting. */
void rl_web_run(RlWeb *web);

/** The state changed: everybody is to be told. */
void rl_web_tell(RlWeb *web);

/** Once a second or so: closes what nobody uses, tells those who have heard nothing for long. */
void rl_web_tidy(RlWeb *web);

int rl_web_streams(const RlWeb *web);

#endif
