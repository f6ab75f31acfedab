#include "web.h"

#include "files.h"
#include "guests.h"

#include <microhttpd.h>
#include <netinet/tcp.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>
#include <time.h>

/* Someone who reads the news. */
typedef struct {
  RlWeb                 *web;
  struct MHD_Connection *connection; /* NULL: free */
  bool                   asleep;     /* has read everything there is */
  unsigned               seen;       /* the news it has been given */
  size_t                 length, at; /* of the text, and how much of it is gone */
  char                   text[RL_HEARD_JSON + 64];
} Reader;

struct RlWeb {
  struct MHD_Daemon   *daemon;
  const RlDoor        *door;
  const RlHeard       *heard;
  unsigned             news; /* one more with every change */
  double               told; /* when it was told last */
  int                  readers;
  struct MHD_Response *said[RL_DOOR_ANSWERS]; /* the same for everybody */
  struct MHD_Response *full;
  RlGuests             guests;
  Reader               reader[RL_WEB_READERS_MAX];
};

enum {
  QUIET_TIME    = 15,   /* seconds a connection may do nothing */
  MEMORY        = 6144, /* bytes for each connection: a request must fit in less */
  SOCKET_BUFFER = 16384 /* a reader that stopped reading is not sent a long past */
};

double
rl_web_clock(void)
{
  struct timespec t;
  clock_gettime(CLOCK_MONOTONIC, &t);
  return (double)t.tv_sec + (double)t.tv_nsec * 1e-9;
}

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

static const char plain[] = "text/plain; charset=utf-8";

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

static void
reader_compose(Reader *const r)
{
  char              json[RL_HEARD_JSON];
  const size_t      length = rl_heard_write(r->web->heard, rl_web_clock(), json);
  const char *const first  = r->seen ? "" : "retry: 1000\n";
  r->length =
    (size_t)snprintf(r->text, sizeof(r->text), "%sdata: %.*s\n\n", first, (int)length, json);
  r->at   = 0;
  r->seen = r->web->news;
}

/* Called whenever the reader's socket has room. */
static ssize_t
reader_fill(void *const data, const uint64_t position, char *const to, const size_t room)
{
  Reader *const r = (Reader *)data;
  (void)position;
  if (r->at == r->length && r->seen == r->web->news) {
    r->asleep = true;
    MHD_suspend_connection(r->connection);
    return 0;
  }
  if (r->at == r->length) {
    reader_compose(r);
  }
  const size_t part = r->length - r->at < room ? r->length - r->at : room;
  memcpy(to, r->text + r->at, part);
  r->at += part;
  return (ssize_t)part;
}

static void
reader_free(void *const data)
{
  Reader *const r = (Reader *)data;
  r->connection   = NULL;
  --r->web->readers;
}

static Reader *
reader_new(RlWeb *const web, struct MHD_Connection *const connection)
{
  for (int i = 0; i < RL_WEB_READERS_MAX; ++i) {
    Reader *const r = &web->reader[i];
    if (!r->connection) {
      *r = (Reader){.web = web, .connection = connection};
      ++web->readers;
      return r;
    }
  }
  return NULL;
}

static enum MHD_Result
answer_news(RlWeb *const web, struct MHD_Connection *const connection, const bool head)
{
  Reader *const r = head ? NULL : reader_new(web, connection);
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

/* ---- requests ---- */

static const struct {
  unsigned    status;
  const char *words;
} refusals[RL_DOOR_ANSWERS] = {
  [RL_DOOR_SLASH]     = {MHD_HTTP_FOUND, "The page's address ends with a slash.\n"},
  [RL_DOOR_NOTHING]   = {MHD_HTTP_NOT_FOUND, "Nothing here. Is the address complete?\n"},
  [RL_DOOR_NO_HOST]   = {MHD_HTTP_MISDIRECTED_REQUEST,
                         "This is not an address that the page goes by.\n"},
  [RL_DOOR_NO_METHOD] = {MHD_HTTP_METHOD_NOT_ALLOWED, "The page only shows; it takes nothing.\n"},
};

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
  const int length = snprintf(text, sizeof(text), "%.3f", 1e3 * rl_web_clock());
  return answer_copy(connection, text, (size_t)length);
}

static void
guest_asks(struct MHD_Connection *const connection)
{
  const union MHD_ConnectionInfo *const info =
    MHD_get_connection_info(connection, MHD_CONNECTION_INFO_SOCKET_CONTEXT);
  if (info && info->socket_context) {
    ((RlGuest *)info->socket_context)->asked = true;
  }
}

static enum MHD_Result
request(void *const data, struct MHD_Connection *const connection, const char *const path,
        const char *const method, const char *const version, const char *const upload,
        size_t *const upload_size, void **const kept)
{
  RlWeb *const web   = (RlWeb *)data;
  int          hosts = 0;
  int          file  = 0;
  (void)version;
  (void)upload;
  (void)upload_size;
  (void)kept;
  guest_asks(connection);
  MHD_get_connection_values(connection, MHD_HEADER_KIND, host_count, &hosts);
  const char *const host =
    MHD_lookup_connection_value(connection, MHD_HEADER_KIND, MHD_HTTP_HEADER_HOST);
  const RlDoorAnswer answer = rl_door_judge(web->door, method, path, host, hosts, &file);
  switch (answer) {
  case RL_DOOR_FILE:
    return answer_file(connection, &rl_files[file]);
  case RL_DOOR_NEWS:
    return answer_news(web, connection, !strcmp(method, MHD_HTTP_METHOD_HEAD));
  case RL_DOOR_CHART:
    return answer_copy(connection, web->heard->chart.text, web->heard->chart.length);
  case RL_DOOR_PLAN:
    return answer_copy(connection, web->heard->plan.text, web->heard->plan.length);
  case RL_DOOR_TIME:
    return answer_time(connection);
  default:
    return MHD_queue_response(connection, refusals[answer].status, web->said[answer]);
  }
}

/* ---- connections ---- */

static uint32_t
address_of(const struct sockaddr *const address)
{
  if (!address || address->sa_family != AF_INET) {
    return 0;
  }
  struct sockaddr_in in;
  memcpy(&in, address, sizeof(in));
  return ntohl(in.sin_addr.s_addr) >> 24 == 127 ? 0 : in.sin_addr.s_addr;
}

static enum MHD_Result
guest_wanted(void *const data, const struct sockaddr *const address, const socklen_t length)
{
  RlWeb *const web = (RlWeb *)data;
  (void)length;
  return rl_guests_room(&web->guests, address_of(address)) ? MHD_YES : MHD_NO;
}

static void
guest_comes_or_goes(void *const data, struct MHD_Connection *const connection, void **const context,
                    const enum MHD_ConnectionNotificationCode what)
{
  RlWeb *const web = (RlWeb *)data;
  if (what == MHD_CONNECTION_NOTIFY_CLOSED) {
    if (*context) {
      rl_guests_leave(&web->guests, (RlGuest *)*context);
    }
    return;
  }
  const int socket =
    MHD_get_connection_info(connection, MHD_CONNECTION_INFO_CONNECTION_FD)->connect_fd;
  const struct sockaddr *const from =
    MHD_get_connection_info(connection, MHD_CONNECTION_INFO_CLIENT_ADDRESS)->client_addr;
  const int buffer = SOCKET_BUFFER;
  const int yes    = 1;
  setsockopt(socket, SOL_SOCKET, SO_SNDBUF, &buffer, sizeof(buffer));
  setsockopt(socket, IPPROTO_TCP, TCP_NODELAY, &yes, sizeof(yes));
  *context = rl_guests_enter(&web->guests, socket, address_of(from), rl_web_clock());
}

/* ---- beginning and end ---- */

static bool
answers_make(RlWeb *const web)
{
  bool made = true;
  for (int i = RL_DOOR_SLASH; i < RL_DOOR_ANSWERS; ++i) {
    web->said[i] = words(refusals[i].words);
    made         = made && web->said[i];
  }
  web->full = words("Too many are reading at once; try again later.\n");
  if (made && web->full) {
    char there[RL_DOOR_KEY + 4];
    snprintf(there, sizeof(there), "/%s/", web->door->key);
    MHD_add_response_header(web->said[RL_DOOR_SLASH], "Location", there);
    MHD_add_response_header(web->said[RL_DOOR_NO_METHOD], "Allow", "GET, HEAD");
  }
  return made && web->full;
}

static struct MHD_Daemon *
daemon_start(RlWeb *const web, const int listener)
{
  const unsigned flags = MHD_USE_EPOLL | MHD_ALLOW_SUSPEND_RESUME |
                         (listener < 0 ? MHD_USE_NO_LISTEN_SOCKET : MHD_NO_FLAG);
  const struct MHD_OptionItem options[] = {
    {MHD_OPTION_CONNECTION_LIMIT, RL_GUESTS_MAX, NULL},
    {MHD_OPTION_CONNECTION_MEMORY_LIMIT, MEMORY, NULL},
    {MHD_OPTION_CONNECTION_TIMEOUT, QUIET_TIME, NULL},
    {MHD_OPTION_NOTIFY_CONNECTION, (intptr_t)guest_comes_or_goes, web},
    {listener < 0 ? MHD_OPTION_END : MHD_OPTION_LISTEN_SOCKET, listener, NULL},
    {MHD_OPTION_END, 0, NULL},
  };
  return MHD_start_daemon(flags, 0, guest_wanted, web, request, web, MHD_OPTION_ARRAY, options,
                          MHD_OPTION_END);
}

RlWeb *
rl_web_new(const int listener, const RlDoor *const door, const RlHeard *const heard)
{
  RlWeb *const web = (RlWeb *)calloc(1, sizeof(RlWeb));
  if (!web) {
    return NULL;
  }
  web->door  = door;
  web->heard = heard;
  web->news  = 1;
  web->told  = rl_web_clock();
  rl_guests_init(&web->guests);
  if (!answers_make(web) || !(web->daemon = daemon_start(web, listener))) {
    rl_web_free(web);
    return NULL;
  }
  return web;
}

static void
readers_wake(RlWeb *const web)
{
  for (int i = 0; i < RL_WEB_READERS_MAX; ++i) {
    Reader *const r = &web->reader[i];
    if (r->connection && r->asleep) {
      r->asleep = false;
      MHD_resume_connection(r->connection);
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
    MHD_stop_daemon(web->daemon);
  }
  for (int i = 0; i < RL_DOOR_ANSWERS; ++i) {
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
rl_web_patience(const RlWeb *const web)
{
  MHD_UNSIGNED_LONG_LONG most = 0;
  return MHD_get_timeout(web->daemon, &most) != MHD_YES ? -1 : most > 1000 ? 1000 : (int)most;
}

void
rl_web_run(RlWeb *const web)
{
  MHD_run(web->daemon);
}

void
rl_web_tell(RlWeb *const web)
{
  ++web->news;
  web->told = rl_web_clock();
  readers_wake(web);
  rl_web_run(web);
}

void
rl_web_tidy(RlWeb *const web)
{
  const double now = rl_web_clock();
  rl_guests_sweep(&web->guests, now);
  if (now - web->told >= RL_WEB_BEAT) {
    rl_web_tell(web);
  }
}

int
rl_web_readers(const RlWeb *const web)
{
  return web->readers;
}
