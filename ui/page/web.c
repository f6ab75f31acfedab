/* SPDX-License-Identifier: ISC */
#include "ui/page/web.h"

#include "ui/page/requests.h"
#include "ui/page/responses.h"
#include "ui/page/time_tag.h"

#include <assert.h>
#include <netinet/in.h>
#include <stdio.h>
#include <stdlib.h>

enum {
  IDLE_TIMEOUT = 15,  /* seconds a connection may do nothing */
  SPARE        = 160, /* connections, besides two for each reader */
  MEMORY       = 6144 /* bytes for each connection: a request must fit in less */
};

/* ---- connections ---- */

static enum MHD_Result
client_accept(void *const data, const struct sockaddr *const address, const socklen_t length)
{
  RlWeb *const web = (RlWeb *)data;
  (void)length;
  return rl_clients_allow(&web->clients, rl_clients_address(&web->clients, address)) ? MHD_YES
                                                                                     : MHD_NO;
}

static void
client_notify(void *const data, struct MHD_Connection *const connection, void **const context,
              const enum MHD_ConnectionNotificationCode event)
{
  RlWeb *const web = (RlWeb *)data;
  if (event == MHD_CONNECTION_NOTIFY_CLOSED) {
    if (*context) {
      rl_clients_remove(&web->clients, (RlClient *)*context);
    }
    return;
  }
  const int socket =
    MHD_get_connection_info(connection, MHD_CONNECTION_INFO_CONNECTION_FD)->connect_fd;
  const struct sockaddr *const from =
    MHD_get_connection_info(connection, MHD_CONNECTION_INFO_CLIENT_ADDRESS)->client_addr;
  *context = rl_clients_add(&web->clients, socket, rl_clients_address(&web->clients, from),
                            rl_time_tag_now());
}

/* ---- beginning and end ---- */

static bool
refusals_make(RlWeb *const web)
{
  bool made = true;
  for (int i = RL_ACCESS_REDIRECT; i < RL_ACCESS_ANSWERS; ++i) {
    web->refusal[i] = rl_response_text(rl_access_refusals[i].text);
    made            = made && web->refusal[i];
  }
  web->full = rl_response_text("Too many connections; try again later.\n");
  if (made && web->full) {
    char location[RL_ACCESS_KEY_LENGTH + 4];
    snprintf(location, sizeof(location), "/%s/", web->access->key);
    MHD_add_response_header(web->refusal[RL_ACCESS_REDIRECT], "Location", location);
    MHD_add_response_header(web->refusal[RL_ACCESS_WRONG_METHOD], "Allow", "GET, HEAD");
  }
  return made && web->full;
}

static struct MHD_Daemon *
daemon_start(RlWeb *const web, const int listener)
{
  const unsigned flags = MHD_USE_EPOLL | MHD_ALLOW_SUSPEND_RESUME |
                         (listener < 0 ? MHD_USE_NO_LISTEN_SOCKET : MHD_NO_FLAG);
  const struct MHD_OptionItem options[] = {
    {MHD_OPTION_CONNECTION_LIMIT, web->clients.max, NULL},
    {MHD_OPTION_CONNECTION_MEMORY_LIMIT, MEMORY, NULL},
    {MHD_OPTION_CONNECTION_TIMEOUT, IDLE_TIMEOUT, NULL},
    {MHD_OPTION_NOTIFY_CONNECTION, (intptr_t)client_notify, web},
    {MHD_OPTION_NOTIFY_COMPLETED, (intptr_t)rl_requests_ended, web},
    {listener < 0 ? MHD_OPTION_END : MHD_OPTION_LISTEN_SOCKET, listener, NULL},
    {MHD_OPTION_END, 0, NULL},
  };
  return MHD_start_daemon(flags, 0, client_accept, web, rl_requests_answer, web, MHD_OPTION_ARRAY,
                          options, MHD_OPTION_END);
}

int
rl_web_connections(const int readers)
{
  return 2 * readers + SPARE;
}

RlWeb *
rl_web_new(const RlWebChoice *const choice)
{
  assert(choice->access && choice->state && choice->readers > 0);
  RlWeb *const web = (RlWeb *)calloc(1, sizeof(RlWeb));
  if (!web) {
    return NULL;
  }
  web->access    = choice->access;
  web->state     = choice->state;
  web->revision  = 1;
  web->published = rl_time_tag_now();
  rl_sheet_jobs_init(&web->jobs, choice->draw, choice->state);
  if (!rl_clients_init(&web->clients, rl_web_connections(choice->readers), choice->proxy) ||
      !rl_streams_init(&web->streams, choice->readers) || !refusals_make(web) ||
      !(web->daemon = daemon_start(web, choice->listener))) {
    rl_web_free(web);
    return NULL;
  }
  return web;
}

/* Each time another one comes first. */
static void
streams_resume(RlWeb *const web)
{
  const int max = web->streams.max;
  for (int i = 0; i < max; ++i) {
    RlStream *const stream = &web->streams.stream[((unsigned)i + web->revision) % (unsigned)max];
    if (stream->owner && stream->suspended) {
      stream->suspended = false;
      MHD_resume_connection((struct MHD_Connection *)stream->owner);
    }
  }
}

void
rl_web_free(RlWeb *const web)
{
  if (!web) {
    return;
  }
  if (web->daemon) {
    streams_resume(web);
    for (int i = 0; i < RL_SHEET_JOBS_MAX; ++i) {
      if (web->jobs.job[i].owner && !web->jobs.job[i].ready) {
        MHD_resume_connection((struct MHD_Connection *)web->jobs.job[i].owner);
      }
    }
    MHD_stop_daemon(web->daemon);
    rl_sheet_jobs_end(&web->jobs);
  }
  for (int i = 0; i < RL_ACCESS_ANSWERS; ++i) {
    if (web->refusal[i]) {
      MHD_destroy_response(web->refusal[i]);
    }
  }
  if (web->full) {
    MHD_destroy_response(web->full);
  }
  rl_streams_end(&web->streams);
  rl_clients_end(&web->clients);
  free(web);
}

bool
rl_web_add(RlWeb *const web, const int socket)
{
  const struct sockaddr_in local = {.sin_family      = AF_INET,
                                    .sin_addr.s_addr = htonl(INADDR_LOOPBACK)};
  return MHD_add_connection(web->daemon, socket, (const struct sockaddr *)&local, sizeof(local)) ==
         MHD_YES;
}

/* ---- running ---- */

int
rl_web_descriptor(const RlWeb *const web)
{
  return MHD_get_daemon_info(web->daemon, MHD_DAEMON_INFO_EPOLL_FD)->epoll_fd;
}

int
rl_web_sheet_descriptor(const RlWeb *const web)
{
  return rl_sheet_jobs_descriptor(&web->jobs);
}

int
rl_web_timeout(const RlWeb *const web)
{
  MHD_UNSIGNED_LONG_LONG left  = 0;
  const int              jobs  = rl_sheet_jobs_timeout(&web->jobs, rl_time_tag_now());
  const bool             waits = MHD_get_timeout(web->daemon, &left) == MHD_YES;
  const int              own   = !waits ? -1 : left > 1000 ? 1000 : (int)left;
  return own < 0 || (jobs >= 0 && jobs < own) ? jobs : own;
}

void
rl_web_run(RlWeb *const web)
{
  const RlSheetJob *const ready = rl_sheet_jobs_run(&web->jobs, rl_time_tag_now());
  if (ready) {
    MHD_resume_connection((struct MHD_Connection *)ready->owner);
  }
  MHD_run(web->daemon);
}

void
rl_web_publish(RlWeb *const web)
{
  ++web->revision;
  web->published = rl_time_tag_now();
  streams_resume(web);
  rl_web_run(web);
}

void
rl_web_tidy(RlWeb *const web)
{
  const double now = rl_time_tag_now();
  rl_clients_close_late(&web->clients, now);
  if (now - web->published >= RL_WEB_KEEPALIVE) {
    rl_web_publish(web);
  }
}

int
rl_web_streams(const RlWeb *const web)
{
  return web->streams.count;
}
