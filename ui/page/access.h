/* SPDX-License-Identifier: ISC */
/* What a request asks for, and whether it is allowed. Pure but for rl_access_make_key(); any
 * thread. */
#ifndef RL_UI_PAGE_ACCESS_H
#define RL_UI_PAGE_ACCESS_H

#include <stdbool.h>
#include <stddef.h>

enum {
  RL_ACCESS_KEY_LENGTH = 12, /**< letters of the key */
  RL_ACCESS_HOSTS_MAX  = 8,
  RL_ACCESS_HOST_SIZE  = 128 /**< bytes of a host's name with its port, the NUL included */
};

/** Which requests are allowed. */
typedef struct {
  char key[RL_ACCESS_KEY_LENGTH + 1]; /**< what a path must begin with; empty: nothing */
  int  hosts;
  char host[RL_ACCESS_HOSTS_MAX][RL_ACCESS_HOST_SIZE]; /**< `name:port`, as in a Host header */
} RlAccess;

/** What to answer. */
typedef enum {
  RL_ACCESS_FILE,         /**< a file of the page */
  RL_ACCESS_STREAM,       /**< the state, as a stream of events */
  RL_ACCESS_CHART,        /**< the chart as text */
  RL_ACCESS_PLAN,         /**< the plan as text */
  RL_ACCESS_SHEET,        /**< the lesson sheet of one pupil */
  RL_ACCESS_TIME,         /**< our clock, to set a phone's by */
  RL_ACCESS_REDIRECT,     /**< the page itself, asked for without the last slash */
  RL_ACCESS_NOT_FOUND,    /**< no such path, or the wrong key: the answer is the same */
  RL_ACCESS_WRONG_HOST,   /**< the Host header names none of ours (RFC 9110, 421) */
  RL_ACCESS_WRONG_METHOD, /**< neither GET nor HEAD */
  RL_ACCESS_ANSWERS
} RlAccessAnswer;

/** How a request is refused: for answers from RL_ACCESS_REDIRECT on. */
typedef struct {
  unsigned    status; /**< of HTTP */
  const char *text;
} RlAccessRefusal;

extern const RlAccessRefusal rl_access_refusals[RL_ACCESS_ANSWERS];

/** Allows a host's name, `name:port`; what does not fit is left out. */
void rl_access_add_host(RlAccess *access, const char *name);

/** Makes a key of 60 random bits, of letters that are easy to type. False if the system has no
    random numbers. */
bool rl_access_make_key(RlAccess *access);

/** Judges a request: `path` decoded and without its query, `hosts` the number of Host headers,
    `host` the first of them or NULL. For RL_ACCESS_FILE, `file` becomes the index in rl_files. */
RlAccessAnswer rl_access_judge(const RlAccess *access, const char *method, const char *path,
                               const char *host, int hosts, int *file);

#endif
