/* SPDX-License-Identifier: ISC */
#include "ui/page/web.h"

#include "ui/page/clients.h"
#include "ui/page/files.h"
#include "ui/page/streams.h"
#include "ui/page/time_tag.h"

#include <microhttpd.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>

struct RlWeb {
  struct MHD_Daemon   *daemon;
  const RlAccess      *door;
  const RlPageState   *heard;
  unsigned             news;                    /* one more with every change */
  double               told;                    /* when it was told last */
  struct MHD_Response *said[RL_ACCESS_ANSWERS]; /* the same for everybody */
  struct MHD_Response *full;
  RlClients            guests;
  RlStreams            readers;
  RlSheetJobs          copies;
};

enum {
  QUIET_TIME = 15,  /* seconds a connection may do nothing */
  MEMORY     = 6144 /* bytes for each connection: a request must fit in less */
};

/* ---- what is said with every answer ---- */

static const char *const headers[][2] = {
  {"X-Content-Type-Options", "nosniff"},
  {"Referrer-Policy", "no-referrer"},
  {"Cross-Origin-Resource-Policy", "same-origin"},
  {"Cross-Origin-Opener-Policy", "same-origin"},
};

static const char policy[] =
  "default-src 'none'; script-src 'self' 'wasm-unsafe-eval'; style-src '%s'; font-src 'self'; "
  "connect-src 'self'; img-src 'self'; base-uri 'none'; form-action 'none'; "
  "frame-ancestors 'none'";

static struct MHD_Response *
dressed(struct MHD_Response *const r, const char *const type, const char *const keep)
{
  for (size_t i = 0; r && i < sizeof(headers) / sizeof(headers[0]); ++i) {
    MHD_add_response_header(r, headers[i][0], headers[i][1]);
  }
  if (r) {
    char text[sizeof(policy) + 64];
    snprintf(text, sizeof(text), policy, rl_files_style);
    MHD_add_response_header(r, "Content-Security-Policy", text);
    MHD_add_response_header(r, "Content-Type", type);
    MHD_add_response_header(r, "Cache-Control", keep);
  }
  return r;
}

static const char plain[]    = "text/plain; charset=utf-8";
static const char no_chart[] = "There is no chart to put on paper yet.\n";

/* Bytes that stay where they are as long as the program runs. */
static struct MHD_Response *
lasting(const void *const bytes, const size_t size)
{
  const struct MHD_IoVec part = {bytes, size};
  return MHD_create_response_from_iovec(&part, size > 0, NULL, NULL);
}

static struct MHD_Response *
words(const char *const text)
{
  return dressed(lasting(text, strlen(text)), plain, "no-store");
}

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
  return MHD_queue_response(connection, rl_access_refusals[why].status, web->said[why]);
}

static enum MHD_Result
answer_copy(struct MHD_Connection *const connection, const char *const text, const size_t length)
{
  char *const copy = (char *)malloc(length + 1);
  if (!copy) {
    return MHD_NO;
  }
  memcpy(copy, text, length);
  struct MHD_Response *const r =
    MHD_create_response_from_buffer(length, copy, MHD_RESPMEM_MUST_FREE);
  if (!r) {
    free(copy);
  }
  return answer_once(connection, MHD_HTTP_OK, dressed(r, plain, "no-store"));
}

static enum MHD_Result
answer_file(struct MHD_Connection *const connection, const RlFile *const file)
{
  const char *const had =
    MHD_lookup_connection_value(connection, MHD_HEADER_KIND, MHD_HTTP_HEADER_IF_NONE_MATCH);
  const bool                 same = had && !strcmp(had, file->etag);
  struct MHD_Response *const r =
    dressed(lasting(file->bytes, same ? 0 : file->size), file->type, "no-cache");
  if (r) {
    MHD_add_response_header(r, MHD_HTTP_HEADER_ETAG, file->etag);
  }
  return answer_once(connection, same ? MHD_HTTP_NOT_MODIFIED : MHD_HTTP_OK, r);
}

/* ---- news ---- */

/* Called whenever the reader's socket has room. */
static ssize_t
reader_fill(void *const data, const uint64_t position, char *const to, const size_t room)
{
  RlStream *const    r   = (RlStream *)data;
  const RlWeb *const web = (const RlWeb *)r->with;
  (void)position;
  const size_t part = rl_stream_next(r, web->heard, web->news, rl_time_tag_clock(), to, room);
  if (!part) {
    r->asleep = true;
    MHD_suspend_connection((struct MHD_Connection *)r->whose);
  }
  return (ssize_t)part;
}

static void
reader_free(void *const data)
{
  RlStream *const r = (RlStream *)data;
  rl_streams_leave(&((RlWeb *)r->with)->readers, r);
}

static enum MHD_Result
answer_news(RlWeb *const web, struct MHD_Connection *const connection, const bool head)
{
  RlStream *const r = head ? NULL : rl_streams_enter(&web->readers, connection, web);
  if (!r) {
    return MHD_queue_response(connection, MHD_HTTP_SERVICE_UNAVAILABLE, web->full);
  }
  struct MHD_Response *const response =
    dressed(MHD_create_response_from_callback(MHD_SIZE_UNKNOWN, sizeof(r->text), reader_fill, r,
                                              reader_free),
            "text/event-stream", "no-store");
  if (!response) {
    reader_free(r);
  }
  return answer_once(connection, MHD_HTTP_OK, response);
}

/* ---- lesson sheets ---- */

static enum MHD_Result
part_take(void *const wish, const enum MHD_ValueKind kind, const char *const name,
          const size_t name_length, const char *const value, const size_t value_length)
{
  (void)kind;
  const RlSlice said = value ? (RlSlice){value, value_length} : rl_slice("");
  return rl_sheet_job_ask((RlSheetJobWish *)wish, (RlSlice){name, name_length}, said) ? MHD_YES
                                                                                      : MHD_NO;
}

static RlClient *
guest_of(struct MHD_Connection *const connection)
{
  const union MHD_ConnectionInfo *const info =
    MHD_get_connection_info(connection, MHD_CONNECTION_INFO_SOCKET_CONTEXT);
  return info ? (RlClient *)info->socket_context : NULL;
}

/* Begins to wait for a sheet; the request is asked again when it is ready. */
static enum MHD_Result
sheet_ask(RlWeb *const web, struct MHD_Connection *const connection, void **const kept)
{
  const RlClient *const guest = guest_of(connection);
  RlSheetJobWish        wish  = RL_SHEET_JOB_WISH;
  if (!web->copies.draw) {
    return refuse(web, connection, RL_ACCESS_NOTHING);
  }
  MHD_get_connection_values_n(connection, MHD_GET_ARGUMENT_KIND, part_take, &wish);
  if (!rl_sheet_job_asked(&wish)) {
    return answer_once(connection, MHD_HTTP_BAD_REQUEST,
                       words("Which harp? Ask as the page does: sheet.pdf?harp=0 to 11, and so on; "
                             "README.md names the rest.\n"));
  }
  if (!web->heard->chart.length) {
    return answer_once(connection, MHD_HTTP_NOT_FOUND, words(no_chart));
  }
  if (!(*kept = rl_sheet_jobs_wait(&web->copies, &wish, guest ? guest->from : 0, connection))) {
    return MHD_queue_response(connection, MHD_HTTP_SERVICE_UNAVAILABLE, web->full);
  }
  MHD_suspend_connection(connection);
  return MHD_YES;
}

static enum MHD_Result
sheet_answer(struct MHD_Connection *const connection, RlSheetJob *const copy)
{
  char named[RL_SHEET_JOBS_NAME + 32];
  if (!copy->bytes) {
    const bool chart = copy->end == RL_SHEET_JOB_CHART;
    return answer_once(connection, chart ? MHD_HTTP_NOT_FOUND : MHD_HTTP_INTERNAL_SERVER_ERROR,
                       words(chart ? no_chart : "The sheet could not be drawn; try again.\n"));
  }
  struct MHD_Response *const r =
    dressed(MHD_create_response_from_buffer(copy->length, copy->bytes, MHD_RESPMEM_MUST_FREE),
            "application/pdf", "no-store");
  if (r) {
    copy->bytes = NULL; /* the response's now */
    snprintf(named, sizeof(named), "attachment; filename=\"%s\"", copy->name);
    MHD_add_response_header(r, MHD_HTTP_HEADER_CONTENT_DISPOSITION, named);
  }
  return answer_once(connection, MHD_HTTP_OK, r);
}

static void
request_ended(void *const data, struct MHD_Connection *const connection, void **const kept,
              const enum MHD_RequestTerminationCode how)
{
  RlWeb *const web = (RlWeb *)data;
  (void)connection;
  (void)how;
  if (*kept) {
    rl_sheet_jobs_leave(&web->copies, (RlSheetJob *)*kept);
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
  const int length = snprintf(text, sizeof(text), "%.3f", 1e3 * rl_time_tag_clock());
  return answer_copy(connection, text, (size_t)length);
}

static enum MHD_Result
request(void *const data, struct MHD_Connection *const connection, const char *const path,
        const char *const method, const char *const version, const char *const upload,
        size_t *const upload_size, void **const kept)
{
  RlWeb *const    web   = (RlWeb *)data;
  RlClient *const guest = guest_of(connection);
  int             hosts = 0;
  int             file  = 0;
  (void)version;
  (void)upload;
  (void)upload_size;
  if (*kept) {
    return sheet_answer(connection, (RlSheetJob *)*kept);
  }
  if (guest) {
    guest->asked = true;
  }
  MHD_get_connection_values(connection, MHD_HEADER_KIND, host_count, &hosts);
  const char *const host =
    MHD_lookup_connection_value(connection, MHD_HEADER_KIND, MHD_HTTP_HEADER_HOST);
  const RlAccessAnswer answer = rl_access_judge(web->door, method, path, host, hosts, &file);
  switch (answer) {
  case RL_ACCESS_FILE:
    return answer_file(connection, &rl_files[file]);
  case RL_ACCESS_NEWS:
    return answer_news(web, connection, !strcmp(method, MHD_HTTP_METHOD_HEAD));
  case RL_ACCESS_CHART:
    return answer_copy(connection, web->heard->chart.text, web->heard->chart.length);
  case RL_ACCESS_PLAN:
    return answer_copy(connection, web->heard->plan.text, web->heard->plan.length);
  case RL_ACCESS_TIME:
    return answer_time(connection);
  case RL_ACCESS_SHEET:
    return sheet_ask(web, connection, kept);
  default:
    return refuse(web, connection, answer);
  }
}

/* ---- connections ---- */

static enum MHD_Result
guest_wanted(void *const data, const struct sockaddr *const address, const socklen_t length)
{
  RlWeb *const web = (RlWeb *)data;
  (void)length;
  return rl_clients_room(&web->guests, rl_clients_address(address)) ? MHD_YES : MHD_NO;
}

static void
guest_comes_or_goes(void *const data, struct MHD_Connection *const connection, void **const context,
                    const enum MHD_ConnectionNotificationCode what)
{
  RlWeb *const web = (RlWeb *)data;
  if (what == MHD_CONNECTION_NOTIFY_CLOSED) {
    if (*context) {
      rl_clients_leave(&web->guests, (RlClient *)*context);
    }
    return;
  }
  const int socket =
    MHD_get_connection_info(connection, MHD_CONNECTION_INFO_CONNECTION_FD)->connect_fd;
  const struct sockaddr *const from =
    MHD_get_connection_info(connection, MHD_CONNECTION_INFO_CLIENT_ADDRESS)->client_addr;
  *context = rl_clients_enter(&web->guests, socket, rl_clients_address(from), rl_time_tag_clock());
}

/* ---- beginning and end ---- */

static bool
answers_make(RlWeb *const web)
{
  bool made = true;
  for (int i = RL_ACCESS_SLASH; i < RL_ACCESS_ANSWERS; ++i) {
    web->said[i] = words(rl_access_refusals[i].words);
    made         = made && web->said[i];
  }
  web->full = words("Too many are reading at once; try again later.\n");
  if (made && web->full) {
    char there[RL_ACCESS_KEY + 4];
    snprintf(there, sizeof(there), "/%s/", web->door->key);
    MHD_add_response_header(web->said[RL_ACCESS_SLASH], "Location", there);
    MHD_add_response_header(web->said[RL_ACCESS_NO_METHOD], "Allow", "GET, HEAD");
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
    {MHD_OPTION_CONNECTION_TIMEOUT, QUIET_TIME, NULL},
    {MHD_OPTION_NOTIFY_CONNECTION, (intptr_t)guest_comes_or_goes, web},
    {MHD_OPTION_NOTIFY_COMPLETED, (intptr_t)request_ended, web},
    {listener < 0 ? MHD_OPTION_END : MHD_OPTION_LISTEN_SOCKET, listener, NULL},
    {MHD_OPTION_END, 0, NULL},
  };
  return MHD_start_daemon(flags, 0, guest_wanted, web, request, web, MHD_OPTION_ARRAY, options,
                          MHD_OPTION_END);
}

RlWeb *
rl_web_new(const int listener, const RlAccess *const door, const RlPageState *const heard,
           const RlSheetJobDraw draw)
{
  RlWeb *const web = (RlWeb *)calloc(1, sizeof(RlWeb));
  if (!web) {
    return NULL;
  }
  web->door  = door;
  web->heard = heard;
  web->news  = 1;
  web->told  = rl_time_tag_clock();
  rl_clients_init(&web->guests);
  rl_sheet_jobs_init(&web->copies, draw, heard);
  if (!answers_make(web) || !(web->daemon = daemon_start(web, listener))) {
    rl_web_free(web);
    return NULL;
  }
  return web;
}

static void
readers_wake(RlWeb *const web)
{
  for (int i = 0; i < RL_STREAMS_MAX; ++i) {
    RlStream *const r = &web->readers.reader[i];
    if (r->whose && r->asleep) {
      r->asleep = false;
      MHD_resume_connection((struct MHD_Connection *)r->whose);
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
    readers_wake(web);
    for (int i = 0; i < RL_SHEET_JOBS_MAX; ++i) {
      if (web->copies.copy[i].whose && !web->copies.copy[i].ready) {
        MHD_resume_connection((struct MHD_Connection *)web->copies.copy[i].whose);
      }
    }
    MHD_stop_daemon(web->daemon);
    rl_sheet_jobs_end(&web->copies);
  }
  for (int i = 0; i < RL_ACCESS_ANSWERS; ++i) {
    if (web->said[i]) {
      MHD_destroy_response(web->said[i]);
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
  const struct sockaddr_in here = {.sin_family      = AF_INET,
                                   .sin_addr.s_addr = htonl(INADDR_LOOPBACK)};
  return MHD_add_connection(web->daemon, socket, (const struct sockaddr *)&here, sizeof(here)) ==
         MHD_YES;
}

/* ---- running ---- */

int
rl_web_descriptor(const RlWeb *const web)
{
  return MHD_get_daemon_info(web->daemon, MHD_DAEMON_INFO_EPOLL_FD)->epoll_fd;
}

int
rl_web_drawing(const RlWeb *const web)
{
  return rl_sheet_jobs_descriptor(&web->copies);
}

int
rl_web_patience(const RlWeb *const web)
{
  MHD_UNSIGNED_LONG_LONG most   = 0;
  const int              copies = rl_sheet_jobs_patience(&web->copies, rl_time_tag_clock());
  const bool             sooner = MHD_get_timeout(web->daemon, &most) == MHD_YES;
  const int              own    = !sooner ? -1 : most > 1000 ? 1000 : (int)most;
  return own < 0 || (copies >= 0 && copies < own) ? copies : own;
}

void
rl_web_run(RlWeb *const web)
{
  const RlSheetJob *const ready = rl_sheet_jobs_run(&web->copies, rl_time_tag_clock());
  if (ready) {
    MHD_resume_connection((struct MHD_Connection *)ready->whose);
  }
  MHD_run(web->daemon);
}

void
rl_web_tell(RlWeb *const web)
{
  ++web->news;
  web->told = rl_time_tag_clock();
  readers_wake(web);
  rl_web_run(web);
}

void
rl_web_tidy(RlWeb *const web)
{
  const double now = rl_time_tag_clock();
  rl_clients_sweep(&web->guests, now);
  if (now - web->told >= RL_WEB_BEAT) {
    rl_web_tell(web);
  }
}

int
rl_web_streams(const RlWeb *const web)
{
  return web->readers.count;
}
