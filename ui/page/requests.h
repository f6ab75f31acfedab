/* SPDX-License-Identifier: ISC */
/* What is answered to whom, called by libmicrohttpd, and all that a server has for it. One thread.
 */
#ifndef RL_UI_PAGE_REQUESTS_H
#define RL_UI_PAGE_REQUESTS_H

#include "ui/page/access.h"
#include "ui/page/clients.h"
#include "ui/page/guesses.h"
#include "ui/page/sheet_jobs.h"
#include "ui/page/streams.h"
#include "ui/page/web.h"

#include <microhttpd.h>

struct RlWeb {
  struct MHD_Daemon   *daemon;
  const RlAccess      *access;
  const RlPageState   *state;
  unsigned             revision;                   /* one more with every change of the state */
  double               published;                  /* when, in seconds */
  struct MHD_Response *refusal[RL_ACCESS_ANSWERS]; /* the same ones for everybody */
  struct MHD_Response *full;                       /* when nothing more can be served */
  RlClients            clients;
  RlStreams            streams;
  RlGuesses            guesses;
  RlSheetJobs          jobs;
};

/** The functions for MHD_start_daemon() and MHD_OPTION_NOTIFY_COMPLETED; `data` is an RlWeb. */
enum MHD_Result rl_requests_answer(void *data, struct MHD_Connection *connection, const char *path,
                                   const char *method, const char *version, const char *upload,
                                   size_t *upload_size, void **kept);
void            rl_requests_ended(void *data, struct MHD_Connection *connection, void **kept,
                                  enum MHD_RequestTerminationCode why);

#endif
