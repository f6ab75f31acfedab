/* SPDX-License-Identifier: ISC */
#include "ui/page/web.h"

#include "ui/page/clients.h"
#include "ui/page/responses.h"
#include "ui/page/streams.h"
#include "ui/page/time_tag.h"

#include <assert.h>
#include <netinet/in.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>

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
  RlSheetJobs          jobs;
};

enum {
  IDLE_TIMEOUT = 15,  /* seconds a connection may do nothing */
  MEMORY       = 6144 /* bytes for each connection: a request must fit in less */
};

static const char no_chart[] = "There is no chart to print yet.\n";

/* ---- answers ---- */

static enum MHD_Result
answer_once(struct MHD_Connection *const connection, const unsigned status,
            struct MHD_Response *const r)
{
  if (!r) {
    return MHD_NO;
  }
  const enum MHD_Result queued = MHD_queue_response(connection, status, r);
  MHD_destroy_response(r);
  return queued;
}

static enum MHD_Result
refuse(const RlWeb *const web, struct MHD_Connection *const connection, const RlAccessAnswer why)
{
  return MHD_queue_response(connection, rl_access_refusals[why].status, web->refusal[why]);
}

static enum MHD_Result
answer_copy(struct MHD_Connection *const connection, const char *const text, const size_t length)
{
  return answer_once(connection, MHD_HTTP_OK, rl_response_copy(text, length));
}

static enum MHD_Result
answer_file(struct MHD_Connection *const connection, const RlFile *const file)
{
  const char *const known =
    MHD_lookup_connection_value(connection, MHD_HEADER_KIND, MHD_HTTP_HEADER_IF_NONE_MATCH);
  const bool same = known && !strcmp(known, file->etag);
  return answer_once(connection, same ? MHD_HTTP_NOT_MODIFIED : MHD_HTTP_OK,
                     rl_response_file(file, !same));
}

/* ---- event streams ---- */

/* Fills the send buffer of a stream; suspends it while there is nothing to send. */
static ssize_t
stream_fill(void *const data, const uint64_t position, char *const to, const size_t size)
{
  RlStream *const    stream = (RlStream *)data;
  const RlWeb *const web    = (const RlWeb *)stream->context;
  (void)position;
  const size_t part =
    rl_stream_read(stream, web->state, web->revision, rl_time_tag_now(), to, size);
  if (!part) {
    stream->suspended = true;
    MHD_suspend_connection((struct MHD_Connection *)stream->owner);
  }
  return (ssize_t)part;
}

static void
stream_free(void *const data)
{
  RlStream *const stream = (RlStream *)data;
  rl_streams_remove(&((RlWeb *)stream->context)->streams, stream);
}

static enum MHD_Result
answer_stream(RlWeb *const web, struct MHD_Connection *const connection, const bool head)
{
  RlStream *const stream = head ? NULL : rl_streams_add(&web->streams, connection, web);
  if (!stream) {
    return MHD_queue_response(connection, MHD_HTTP_SERVICE_UNAVAILABLE, web->full);
  }
  struct MHD_Response *const response =
    rl_response_complete(MHD_create_response_from_callback(MHD_SIZE_UNKNOWN, sizeof(stream->text),
                                                           stream_fill, stream, stream_free),
                         "text/event-stream", "no-store");
  if (!response) {
    stream_free(stream);
  }
  return answer_once(connection, MHD_HTTP_OK, response);
}

/* ---- lesson sheets ---- */

static enum MHD_Result
query_read(void *const request, const enum MHD_ValueKind kind, const char *const name,
           const size_t name_length, const char *const value, const size_t value_length)
{
  (void)kind;
  const RlSlice given = value ? (RlSlice){value, value_length} : rl_slice("");
  return rl_sheet_request_set((RlSheetRequest *)request, (RlSlice){name, name_length}, given)
           ? MHD_YES
           : MHD_NO;
}

static RlClient *
client_of(struct MHD_Connection *const connection)
{
  const union MHD_ConnectionInfo *const info =
    MHD_get_connection_info(connection, MHD_CONNECTION_INFO_SOCKET_CONTEXT);
  return info ? (RlClient *)info->socket_context : NULL;
}

/* Adds a job and suspends the connection; when the sheet is ready, libmicrohttpd calls request()
   again, with the job in `kept`. */
static enum MHD_Result
sheet_request(RlWeb *const web, struct MHD_Connection *const connection, void **const kept)
{
  const RlClient *const client  = client_of(connection);
  RlSheetRequest        request = RL_SHEET_REQUEST_DEFAULTS;
  if (!web->jobs.draw) {
    return refuse(web, connection, RL_ACCESS_NOT_FOUND);
  }
  MHD_get_connection_values_n(connection, MHD_GET_ARGUMENT_KIND, query_read, &request);
  if (!rl_sheet_request_complete(&request)) {
    return answer_once(
      connection, MHD_HTTP_BAD_REQUEST,
      rl_response_text("Which harp? Ask as the page does: sheet.pdf?harp=0 to 11, and so on; "
                       "README.md names the rest.\n"));
  }
  if (!web->state->chart.length) {
    return answer_once(connection, MHD_HTTP_NOT_FOUND, rl_response_text(no_chart));
  }
  if (!(*kept =
          rl_sheet_jobs_add(&web->jobs, &request, client ? client->address : 0, connection))) {
    return MHD_queue_response(connection, MHD_HTTP_SERVICE_UNAVAILABLE, web->full);
  }
  MHD_suspend_connection(connection);
  return MHD_YES;
}

static enum MHD_Result
sheet_answer(struct MHD_Connection *const connection, RlSheetJob *const job)
{
  char disposition[RL_SHEET_JOBS_NAME_SIZE + 32];
  if (!job->bytes) {
    const bool chart = job->result == RL_SHEET_JOB_NO_CHART;
    return answer_once(
      connection, chart ? MHD_HTTP_NOT_FOUND : MHD_HTTP_INTERNAL_SERVER_ERROR,
      rl_response_text(chart ? no_chart : "The sheet could not be drawn; try again.\n"));
  }
  struct MHD_Response *const r = rl_response_complete(
    MHD_create_response_from_buffer(job->length, job->bytes, MHD_RESPMEM_MUST_FREE),
    "application/pdf", "no-store");
  if (r) {
    job->bytes = NULL; /* the response frees them */
    snprintf(disposition, sizeof(disposition), "attachment; filename=\"%s\"", job->name);
    MHD_add_response_header(r, MHD_HTTP_HEADER_CONTENT_DISPOSITION, disposition);
  }
  return answer_once(connection, MHD_HTTP_OK, r);
}

static void
request_ended(void *const data, struct MHD_Connection *const connection, void **const kept,
              const enum MHD_RequestTerminationCode why)
{
  RlWeb *const web = (RlWeb *)data;
  (void)connection;
  (void)why;
  if (*kept) {
    rl_sheet_jobs_remove(&web->jobs, (RlSheetJob *)*kept);
    *kept = NULL;
  }
}

/* ---- requests ---- */

static enum MHD_Result
host_count(void *const count, const enum MHD_ValueKind kind, const char *const name,
           const char *const value)
{
  (void)kind;
  (void)value;
  *(int *)count += !strcasecmp(name, MHD_HTTP_HEADER_HOST);
  return MHD_YES;
}

static enum MHD_Result
answer_time(struct MHD_Connection *const connection)
{
  char      text[32];
  const int length = snprintf(text, sizeof(text), "%.3f", 1e3 * rl_time_tag_now());
  return answer_copy(connection, text, (size_t)length);
}

static enum MHD_Result
request(void *const data, struct MHD_Connection *const connection, const char *const path,
        const char *const method, const char *const version, const char *const upload,
        size_t *const upload_size, void **const kept)
{
  RlWeb *const    web    = (RlWeb *)data;
  RlClient *const client = client_of(connection);
  int             hosts  = 0;
  int             file   = 0;
  (void)version;
  (void)upload;
  (void)upload_size;
  if (*kept) {
    return sheet_answer(connection, (RlSheetJob *)*kept);
  }
  if (client) {
    client->requested = true;
  }
  MHD_get_connection_values(connection, MHD_HEADER_KIND, host_count, &hosts);
  const char *const host =
    MHD_lookup_connection_value(connection, MHD_HEADER_KIND, MHD_HTTP_HEADER_HOST);
  const RlAccessAnswer answer = rl_access_judge(web->access, method, path, host, hosts, &file);
  switch (answer) {
  case RL_ACCESS_FILE:
    return answer_file(connection, &rl_files[file]);
  case RL_ACCESS_STREAM:
    return answer_stream(web, connection, !strcmp(method, MHD_HTTP_METHOD_HEAD));
  case RL_ACCESS_CHART:
    return answer_copy(connection, web->state->chart.text, web->state->chart.length);
  case RL_ACCESS_PLAN:
    return answer_copy(connection, web->state->plan.text, web->state->plan.length);
  case RL_ACCESS_TIME:
    return answer_time(connection);
  case RL_ACCESS_SHEET:
    return sheet_request(web, connection, kept);
  default:
    return refuse(web, connection, answer);
  }
}

/* ---- connections ---- */

static enum MHD_Result
client_accept(void *const data, const struct sockaddr *const address, const socklen_t length)
{
  RlWeb *const web = (RlWeb *)data;
  (void)length;
  return rl_clients_allow(&web->clients, rl_clients_address(address)) ? MHD_YES : MHD_NO;
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
  *context = rl_clients_add(&web->clients, socket, rl_clients_address(from), rl_time_tag_now());
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
    {MHD_OPTION_CONNECTION_LIMIT, RL_CLIENTS_MAX, NULL},
    {MHD_OPTION_CONNECTION_MEMORY_LIMIT, MEMORY, NULL},
    {MHD_OPTION_CONNECTION_TIMEOUT, IDLE_TIMEOUT, NULL},
    {MHD_OPTION_NOTIFY_CONNECTION, (intptr_t)client_notify, web},
    {MHD_OPTION_NOTIFY_COMPLETED, (intptr_t)request_ended, web},
    {listener < 0 ? MHD_OPTION_END : MHD_OPTION_LISTEN_SOCKET, listener, NULL},
    {MHD_OPTION_END, 0, NULL},
  };
  return MHD_start_daemon(flags, 0, client_accept, web, request, web, MHD_OPTION_ARRAY, options,
                          MHD_OPTION_END);
}

RlWeb *
rl_web_new(const int listener, const RlAccess *const access, const RlPageState *const state,
           const RlSheetJobDraw draw)
{
  assert(access && state);
  RlWeb *const web = (RlWeb *)calloc(1, sizeof(RlWeb));
  if (!web) {
    return NULL;
  }
  web->access    = access;
  web->state     = state;
  web->revision  = 1;
  web->published = rl_time_tag_now();
  rl_clients_init(&web->clients);
  rl_sheet_jobs_init(&web->jobs, draw, state);
  if (!refusals_make(web) || !(web->daemon = daemon_start(web, listener))) {
    rl_web_free(web);
    return NULL;
  }
  return web;
}

static void
streams_resume(RlWeb *const web)
{
  for (int i = 0; i < RL_STREAMS_MAX; ++i) {
    RlStream *const stream = &web->streams.stream[i];
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
  rl_clients_close_idle(&web->clients, now);
  if (now - web->published >= RL_WEB_KEEPALIVE) {
    rl_web_publish(web);
  }
}

int
rl_web_streams(const RlWeb *const web)
{
  return web->streams.count;
}
