/* SPDX-License-Identifier: ISC */
/* The door: what a request asks for, and whether it is let in. Pure; any thread. */
#ifndef RL_UI_PAGE_ACCESS_H
#define RL_UI_PAGE_ACCESS_H

#include <stdbool.h>
#include <stddef.h>

enum {
  RL_ACCESS_KEY   = 12, /**< letters of the key */
  RL_ACCESS_HOSTS = 8,
  RL_ACCESS_NAME  = 128 /**< bytes of a host's name with its port */
};

/** Who is let in. */
typedef struct {
  char key[RL_ACCESS_KEY + 1]; /**< empty: the address carries none */
  int  hosts;
  char host[RL_ACCESS_HOSTS][RL_ACCESS_NAME]; /**< `name:port` as a browser would say it */
} RlAccess;

/** What to answer. */
typedef enum {
  RL_ACCESS_FILE,      /**< a file of the page */
  RL_ACCESS_NEWS,      /**< what the band plays, as a stream of events */
  RL_ACCESS_CHART,     /**< the chart as text */
  RL_ACCESS_PLAN,      /**< the plan as text */
  RL_ACCESS_SHEET,     /**< the lesson sheet of one pupil */
  RL_ACCESS_TIME,      /**< our clock, to set a phone's by */
  RL_ACCESS_SLASH,     /**< the page itself, asked for without the last slash */
  RL_ACCESS_NOTHING,   /**< no such thing, or the wrong key: the answer is the same */
  RL_ACCESS_NO_HOST,   /**< asked under a name that is not ours */
  RL_ACCESS_NO_METHOD, /**< only GET and HEAD are */
  RL_ACCESS_ANSWERS
} RlAccessAnswer;

/** What is said where nothing is given: from RL_ACCESS_SLASH on. */
typedef struct {
  unsigned    status; /**< of HTTP */
  const char *words;
} RlAccessRefusal;

extern const RlAccessRefusal rl_access_refusals[RL_ACCESS_ANSWERS];

/** Adds a name that browsers may call us by; what does not fit is left out. */
void rl_access_host(RlAccess *door, const char *name);

/** Makes a key of random letters that are easy to type. False if there is no randomness. */
bool rl_access_lock(RlAccess *door);

/** Judges a request: `path` decoded and without what follows a question mark, `hosts` the number
    of Host headers, `host` the first of them. For RL_ACCESS_FILE, `file` becomes its index. */
RlAccessAnswer rl_access_judge(const RlAccess *door, const char *method, const char *path,
                               const char *host, int hosts, int *file);

#endif
