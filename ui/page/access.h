/* SPDX-License-Identifier: ISC */
/* What a request asks for, and whether it is allowed. Pure but for rl_access_make_key(); any
 * thread. */
#ifndef RL_UI_PAGE_ACCESS_H
#define RL_UI_PAGE_ACCESS_H

#include "ui/page/words.h"

#include <stdbool.h>
#include <stddef.h>

enum {
  RL_ACCESS_KEY_LENGTH = 12, /**< letters of the key */
  RL_ACCESS_HOSTS_MAX  = 8,
  RL_ACCESS_HOST_SIZE  = 128, /**< bytes of a host's name with its port, the NUL included */
  RL_ACCESS_KEYS_SIZE  = RL_ACCESS_KEY_LENGTH + 1 + RL_WORDS_SIZE /**< of both keys as one text */
};

/** Which requests are allowed. */
typedef struct {
  char key[RL_ACCESS_KEY_LENGTH + 1]; /**< what a path must begin with; empty: nothing */
  char words[RL_WORDS_SIZE];          /**< what leads there when typed; empty: nothing does */
  int  hosts;
  char host[RL_ACCESS_HOSTS_MAX][RL_ACCESS_HOST_SIZE]; /**< `name:port`, as in a Host header */
} RlAccess;

/** What to answer. */
typedef enum {
  RL_ACCESS_FILE,         /**< a file of the page */
  RL_ACCESS_STREAM,       /**< the state, as a stream of events */
  RL_ACCESS_CHART,        /**< the chart as text */
  RL_ACCESS_PLAN,         /**< the plan as text */
  RL_ACCESS_PRACTICE,     /**< the choruses that were practised, to be drawn */
  RL_ACCESS_SHEET,        /**< the lesson sheet of one pupil */
  RL_ACCESS_TIME,         /**< our clock, to set a phone's by */
  RL_ACCESS_CODE,         /**< the code to scan, large */
  RL_ACCESS_DOOR,         /**< where the words can be typed */
  RL_ACCESS_WRONG_WORDS,  /**< four words, but not ours */
  RL_ACCESS_RIGHT_WORDS,  /**< lead to the page as RL_ACCESS_REDIRECT does */
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

/** Makes a key of 60 random bits, of letters that are easy to type, and one of words. False if the
    system has no random numbers. */
bool rl_access_make_key(RlAccess *access);

/** Both keys as one text, `LETTERS-WORD-WORD-WORD-WORD`, and back: false if it is not made so. */
void rl_access_write_keys(const RlAccess *access, char text[RL_ACCESS_KEYS_SIZE]);
bool rl_access_read_keys(RlAccess *access, const char *text);

/** What somebody asks for. */
typedef struct {
  const char *method, *path; /**< the path decoded and without its query */
  const char *words;         /**< what has been typed at the door; NULL: nothing */
  const char *host;          /**< the first Host header, or NULL */
  int         hosts;         /**< number of Host headers */
} RlAccessRequest;

/** Judges a request. For RL_ACCESS_FILE, `file` becomes the index in rl_files. Words are compared,
    however often they are asked: who asks too often is not told (rl_guesses_wait). */
RlAccessAnswer rl_access_judge(const RlAccess *access, const RlAccessRequest *request, int *file);

#endif
