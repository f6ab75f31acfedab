/* SPDX-License-Identifier: ISC */
/* Feeds the web server any bytes in up to four chunks on one connection, in the same process. The
   server must go on, and must give away nothing without the key: only answers 302, 200 and 304
   carry the page, and these only if the key is in what was sent. See fuzz_chart.c for how to build
   and what RL_PLANTED_BUG is. */
#include "demand.h"
#include "ui/page/streams.h"
#include "ui/page/web.h"

#include <ctype.h>
#include <poll.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/socket.h>
#include <unistd.h>

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

enum { CHUNKS = 4, PASSES = 6, READERS = 4 };

static RlWeb      *web;
static RlAccess    rules;
static RlPageState state;

/* `K`, `H` and `W` in angle brackets stand for the key, the host and the words in inputs. */
static const struct {
  const char *name, *value;
} placeholders[] = {
  {"<K>", "abcdefghijkm"}, {"<H>", "127.0.0.1:9912"}, {"<W>", "barn-lamp-reed-tulip"}};

/* Queries for sheets are read; without a chart none is drawn, and nothing forks here. */
static RlSheetJobResult
never_draw(const RlPageState *const h, const RlSheetRequest *const request, const int to)
{
  (void)h;
  (void)request;
  (void)to;
  abort();
}

static void
begin(void)
{
  memcpy(rules.key, placeholders[0].value, RL_ACCESS_KEY_LENGTH);
  memcpy(rules.words, placeholders[2].value, strlen(placeholders[2].value));
  rl_access_add_host(&rules, placeholders[1].value);
  state.known[RL_PAGE_STATE_PLACE] = true;
  web                              = rl_web_new(&(RlWebChoice){
                                 .listener = -1, .readers = READERS, .access = &rules, .state = &state, .draw = never_draw});
  DEMAND(web);
}

/* Appends what has been answered so far; returns its length. */
static size_t
answer_read(const int socket, char *const answer, const size_t have, const size_t capacity)
{
  const ssize_t got = recv(socket, answer + have, capacity - have, MSG_DONTWAIT);
  return got > 0 ? have + (size_t)got : have;
}

static size_t
sent_make(const uint8_t *const data, const size_t size, char *const sent, const size_t capacity)
{
  size_t used = 0;
  for (size_t i = 0; i < size && used + 32 < capacity;) {
    size_t skip = 0;
    for (size_t s = 0; s < 3 && !skip; ++s) {
      if (size - i >= 3 && !memcmp(data + i, placeholders[s].name, 3)) {
        skip = strlen(placeholders[s].value);
        memcpy(sent + used, placeholders[s].value, skip);
        used += skip;
      }
    }
    if (!skip) {
      sent[used++] = (char)data[i];
    }
    i += skip ? 3 : 1;
  }
  return used;
}

static bool
holds(const char *const text, const size_t length, const char *const what)
{
  const size_t n = strlen(what);
  for (size_t i = 0; i + n <= length; ++i) {
    if (!memcmp(text + i, what, n)) {
      return true;
    }
  }
  return false;
}

/* Do the letters of all words follow each other, in capitals or not, whatever lies between? */
static bool
has_words(const char *const text, const size_t length)
{
  const char *at = rules.words;
  for (size_t i = 0; i < length && *at; ++i) {
    at += tolower((unsigned char)text[i]) == *at;
    at += *at == '-';
  }
  return !*at;
}

int
LLVMFuzzerTestOneInput(const uint8_t *const data, const size_t size)
{
  static char  sent[16384], answer[65536];
  int          ends[2];
  size_t       have   = 0;
  const size_t length = sent_make(data, size, sent, sizeof(sent));
  if (!web) {
    begin();
  }
  DEMAND(!socketpair(AF_UNIX, SOCK_STREAM, 0, ends));
  DEMAND(rl_web_add(web, ends[1]));
  for (int chunk = 0; chunk < CHUNKS; ++chunk) {
    const size_t from = length * (size_t)chunk / CHUNKS;
    const size_t to   = length * (size_t)(chunk + 1) / CHUNKS;
    if (to > from) {
      send(ends[0], sent + from, to - from, MSG_NOSIGNAL | MSG_DONTWAIT);
    }
    rl_web_run(web);
    have = answer_read(ends[0], answer, have, sizeof(answer));
  }
  for (int pass = 0; pass < PASSES; ++pass) {
    rl_web_run(web);
    if (pass == 2 && rl_web_streams(web)) {
      rl_web_publish(web);
    }
    have = answer_read(ends[0], answer, have, sizeof(answer));
  }
  close(ends[0]);
  rl_web_publish(web); /* resumes suspended streams, so that the closed socket is noticed */
  for (int pass = 0; pass < PASSES; ++pass) {
    rl_web_run(web);
  }
  const bool known  = !PLANTED && (holds(sent, length, rules.key) || holds(sent, length, "%"));
  const bool worded = !PLANTED && has_words(sent, length);
  DEMAND(known || !holds(answer, have, "HTTP/1.1 200"));
  /* words may be written in many ways: then the address that they lead to is in no input */
  DEMAND(known || worded || !holds(answer, have, "HTTP/1.1 302"));
  DEMAND(!holds(answer, have, "HTTP/1.1 5") || rl_web_streams(web) <= READERS);
  return 0;
}
