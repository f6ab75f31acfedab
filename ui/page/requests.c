/* SPDX-License-Identifier: ISC */
#include "ui/page/requests.h"

#include "ui/page/door.h"
#include "ui/page/practice.h"
#include "ui/page/responses.h"
#include "ui/page/time_tag.h"

#include <arpa/inet.h>
#include <inttypes.h>
#include <math.h>
#include <netinet/in.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>

static const char no_chart[] = "There is no chart to print yet.\n";

/* ---- answers ---- */

static RlClient *
client_of(struct MHD_Connection *const connection)
{
  const union MHD_ConnectionInfo *const info =
    MHD_get_connection_info(connection, MHD_CONNECTION_INFO_SOCKET_CONTEXT);
  return info ? (RlClient *)info->socket_context : NULL;
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
  return MHD_queue_response(connection, rl_access_refusals[why].status, web->refusal[why]);
}

/* A page that the server makes, freed here. */
static enum MHD_Result
answer_page(struct MHD_Connection *const connection, const unsigned status, char *const text,
            const size_t length, const int wait)
{
  char                       seconds[16];
  struct MHD_Response *const r = rl_response_page(text, length);
  if (r && wait) {
    snprintf(seconds, sizeof(seconds), "%d", wait);
    MHD_add_response_header(r, MHD_HTTP_HEADER_RETRY_AFTER, seconds);
  }
  return answer_once(connection, status, r);
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
  RlStream *const stream = (RlStream *)data;
  RlWeb *const    web    = (RlWeb *)stream->context;
  (void)position;
  const size_t part =
    rl_streams_read(&web->streams, stream, web->state, web->revision, rl_time_tag_now(), to, size);
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
  RlClient *const client = client_of(connection);
  if (client) {
    client->until = (double)INFINITY;
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

/* For whom a connection asks: a proxy on this machine, or the one we know, says so in the last
   element of X-Forwarded-For. 0: somebody on this machine. */
static uint32_t
asker(const RlWeb *const web, struct MHD_Connection *const connection)
{
  const RlClient *const client = client_of(connection);
  const char *const     said =
    MHD_lookup_connection_value(connection, MHD_HEADER_KIND, "X-Forwarded-For");
  if (!client || client->address || !said) {
    return client ? client->address : 0;
  }
  const char *const  comma = strrchr(said, ',');
  const char *const  last  = comma ? comma + 1 : said;
  struct sockaddr_in from  = {.sin_family = AF_INET};
  return inet_pton(AF_INET, last + strspn(last, " "), &from.sin_addr) == 1
           ? rl_clients_address(&web->clients, (const struct sockaddr *)&from)
           : 0;
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

/* Adds a job and suspends the connection; when the sheet is ready, libmicrohttpd calls request()
   again, with the job in `kept`. */
static enum MHD_Result
sheet_request(RlWeb *const web, struct MHD_Connection *const connection, void **const kept)
{
  RlClient *const client  = client_of(connection);
  RlSheetRequest  request = RL_SHEET_REQUEST_DEFAULTS;
  if (!web->jobs.draw) {
    return refuse(web, connection, RL_ACCESS_NOT_FOUND);
  }
  MHD_get_connection_values_n(connection, MHD_GET_ARGUMENT_KIND, query_read, &request);
  if (!rl_sheet_request_complete(&request)) {
    return answer_once(
      connection, MHD_HTTP_BAD_REQUEST,
      rl_response_text("Which harp? Ask as the page does: sheet.pdf?harp=0 to 11, and so on; "
                       "man reedlamp-page, THE LESSON SHEET, names the rest.\n"));
  }
  if (!web->state->chart.length) {
    return answer_once(connection, MHD_HTTP_NOT_FOUND, rl_response_text(no_chart));
  }
  if (!(*kept = rl_sheet_jobs_add(&web->jobs, &request, asker(web, connection), connection))) {
    return MHD_queue_response(connection, MHD_HTTP_SERVICE_UNAVAILABLE, web->full);
  }
  if (client) {
    client->until = (double)INFINITY;
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

void
rl_requests_ended(void *const data, struct MHD_Connection *const connection, void **const kept,
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

/* With `sum` only that very text will do: behind a proxy this may be another server than the one
   whose stream told of it, and have an older one. */
static bool
is_meant(struct MHD_Connection *const connection, const RlPageStateText *const text)
{
  const char *const sum = MHD_lookup_connection_value(connection, MHD_GET_ARGUMENT_KIND, "sum");
  return !sum || strtoul(sum, NULL, 10) == text->sum;
}

/* A chart or plan. */
static enum MHD_Result
answer_text(const RlWeb *const web, struct MHD_Connection *const connection,
            const RlPageStateText *const text)
{
  return is_meant(connection, text) ? answer_copy(connection, text->text, text->length)
                                    : refuse(web, connection, RL_ACCESS_NOT_FOUND);
}

static enum MHD_Result
answer_practice(const RlWeb *const web, struct MHD_Connection *const connection)
{
  const RlPageStateText *const lines = &web->state->practice;
  char                         json[RL_PAGE_PRACTICE_SIZE];
  if (!is_meant(connection, lines)) {
    return refuse(web, connection, RL_ACCESS_NOT_FOUND);
  }
  const size_t length = rl_page_practice_write((RlSlice){lines->text, lines->length}, json);
  return answer_copy(connection, json, length);
}

static enum MHD_Result
answer_time(const RlWeb *const web, struct MHD_Connection *const connection)
{
  char      text[48];
  const int length =
    snprintf(text, sizeof(text), "%.3f %" PRIu32, 1e3 * rl_time_tag_now(), web->state->from);
  return answer_copy(connection, text, (size_t)length);
}

/* The code for the address by which it was asked for. */
static enum MHD_Result
answer_code(const RlWeb *const web, struct MHD_Connection *const connection, const char *const host)
{
  char   address[RL_ACCESS_HOST_SIZE + RL_ACCESS_KEY_LENGTH + 16], door[RL_ACCESS_HOST_SIZE + 8];
  size_t length = 0;
  const char *const proto =
    MHD_lookup_connection_value(connection, MHD_HEADER_KIND, "X-Forwarded-Proto");
  const char *const scheme = proto && !strcmp(proto, "https") ? "https" : "http";
  const char *const key    = web->access->key;
  snprintf(door, sizeof(door), "%s://%s", scheme, host);
  snprintf(address, sizeof(address), "%s/%s%s", door, key, *key ? "/" : "");
  char *const text = rl_door_code(address, door, web->access->words, &length);
  return answer_page(connection, MHD_HTTP_OK, text, length, 0);
}

/* The door with something said there. */
static enum MHD_Result
answer_door(struct MHD_Connection *const connection, const unsigned status, const char *const said,
            const int wait)
{
  size_t      length = 0;
  char *const text   = rl_door_page(said, &length);
  return answer_page(connection, status, text, length, wait);
}

/* The door, or what comes of words that were typed there. */
static enum MHD_Result
answer_words(RlWeb *const web, struct MHD_Connection *const connection, const RlAccessAnswer what)
{
  const uint32_t from = asker(web, connection);
  const double   now  = rl_time_tag_now();
  const int      wait = what == RL_ACCESS_DOOR ? 0 : rl_guesses_wait(&web->guesses, from, now);
  if (wait) {
    return answer_door(connection, MHD_HTTP_TOO_MANY_REQUESTS,
                       "Too many wrong words. Wait some seconds and try again, or scan the code.",
                       wait);
  }
  if (what == RL_ACCESS_RIGHT_WORDS) {
    return refuse(web, connection, RL_ACCESS_REDIRECT);
  }
  if (what == RL_ACCESS_DOOR) {
    return answer_door(connection, MHD_HTTP_NOT_FOUND,
                       "Scan the code that your teacher shows, or type its words.", 0);
  }
  rl_guesses_wrong(&web->guesses, from, now);
  return answer_door(connection, MHD_HTTP_NOT_FOUND,
                     "These are not the words. Type them as they stand below the code.", 0);
}

static enum MHD_Result
answer(RlWeb *const web, struct MHD_Connection *const connection,
       const RlAccessRequest *const asked, void **const kept)
{
  int                  file = 0;
  const RlAccessAnswer what = rl_access_judge(web->access, asked, &file);
  switch (what) {
  case RL_ACCESS_FILE:
    return answer_file(connection, &rl_files[file]);
  case RL_ACCESS_STREAM:
    return answer_stream(web, connection, !strcmp(asked->method, MHD_HTTP_METHOD_HEAD));
  case RL_ACCESS_CHART:
    return answer_text(web, connection, &web->state->chart);
  case RL_ACCESS_PLAN:
    return answer_text(web, connection, &web->state->plan);
  case RL_ACCESS_PRACTICE:
    return answer_practice(web, connection);
  case RL_ACCESS_TIME:
    return answer_time(web, connection);
  case RL_ACCESS_SHEET:
    return sheet_request(web, connection, kept);
  case RL_ACCESS_CODE:
    return answer_code(web, connection, asked->host);
  case RL_ACCESS_DOOR:
  case RL_ACCESS_WRONG_WORDS:
  case RL_ACCESS_RIGHT_WORDS:
    return answer_words(web, connection, what);
  default:
    return refuse(web, connection, what);
  }
}

enum MHD_Result
rl_requests_answer(void *const data, struct MHD_Connection *const connection,
                   const char *const path, const char *const method, const char *const version,
                   const char *const upload, size_t *const upload_size, void **const kept)
{
  RlWeb *const    web    = (RlWeb *)data;
  RlClient *const client = client_of(connection);
  RlAccessRequest asked  = {.method = method, .path = path};
  (void)version;
  (void)upload;
  (void)upload_size;
  if (client) {
    client->asked = true;
    client->until = rl_time_tag_now() + RL_CLIENTS_ANSWER_TIMEOUT;
  }
  if (*kept) {
    return sheet_answer(connection, (RlSheetJob *)*kept);
  }
  MHD_get_connection_values(connection, MHD_HEADER_KIND, host_count, &asked.hosts);
  asked.host  = MHD_lookup_connection_value(connection, MHD_HEADER_KIND, MHD_HTTP_HEADER_HOST);
  asked.words = MHD_lookup_connection_value(connection, MHD_GET_ARGUMENT_KIND, "words");
  return answer(web, connection, &asked, kept);
}
