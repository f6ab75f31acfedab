/* SPDX-License-Identifier: ISC */
/* The options of the program. One thread. */
#ifndef RL_UI_PAGE_OPTIONS_H
#define RL_UI_PAGE_OPTIONS_H

#include "ui/page/access.h"

#include <netinet/in.h>

typedef struct {
  bool               lan;
  bool               keyed; /**< has the page a key? */
  int                readers;
  struct sockaddr_in web, osc;
  struct in_addr     proxy; /**< 0: none */
  RlAccess           access;
} RlOptions;

extern const char rl_options_usage[];

/** Reads them. False, and one line on standard error says what is wrong. */
bool rl_options_read(RlOptions *options, int count, char *const *arguments);

/** Says on standard error what is wrong, and why; always false. */
bool rl_options_complain(const char *what, const char *why);

#endif
