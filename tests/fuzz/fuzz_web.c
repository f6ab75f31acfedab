/* SPDX-License-Identifier: ISC */
/* Feeds the web server what browsers send, or anybody: bytes in up to four gulps on one connection,
   in the same process. Whatever comes, the server must go on, and must give away nothing to who
   does not know the key: no answer but 302, 200 and 304 carries the page, and these only if the key
   stands in what was sent. See fuzz_chart.c for how to build and what RL_PLANTED_BUG is. */
#include "demand.h"
#include "ui/page/streams.h"
#include "ui/page/web.h"

#include <poll.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/socket.h>
#include <unistd.h>

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

enum { GULPS = 4, TURNS = 6 };

static RlWeb      *web;
static RlAccess    door;
static RlPageState heard;

/* Inputs may be made of these: `K` and `H` in angle brackets stand for the key and the host. */
static const struct {
  const char *sign, *means;
} signs[] = {{"<K>", "abcdefghijkm"}, {"<H>", "127.0.0.1:9912"}};

/* Queries for sheets are read; without a chart none is drawn, and nothing forks here. */
static RlSheetJobEnd
never_draw(const RlPageState *const h, const RlSheetJobWish *const wish, const int to)
{
  (void)h;
  (void)wish;
  (void)to;
  abort();
}

static void
begin(void)
{
  memcpy(door.key, signs[0].means, RL_ACCESS_KEY);
  rl_access_host(&door, signs[1].means);
  heard.told[RL_PAGE_STATE_PLACE] = true;
  web                             = rl_web_new(-1, &door, &heard, never_draw);
  DEMAND(web);
}

/* Takes whatever has been answered so far. */
static size_t
answer_take(const int socket, char *const answer, const size_t have, const size_t room)
{
  const ssize_t got = recv(socket, answer + have, room - have, MSG_DONTWAIT);
  return got > 0 ? have + (size_t)got : have;
}

static size_t
sent_make(const uint8_t *const data, const size_t size, char *const sent, const size_t room)
{
  size_t used = 0;
  for (size_t i = 0; i < size && used + 16 < room;) {
    size_t skip = 0;
    for (size_t s = 0; s < 2 && !skip; ++s) {
      if (size - i >= 3 && !memcmp(data + i, signs[s].sign, 3)) {
        skip = strlen(signs[s].means);
        memcpy(sent + used, signs[s].means, skip);
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
  for (int gulp = 0; gulp < GULPS; ++gulp) {
    const size_t from = length * (size_t)gulp / GULPS;
    const size_t to   = length * (size_t)(gulp + 1) / GULPS;
    if (to > from) {
      send(ends[0], sent + from, to - from, MSG_NOSIGNAL | MSG_DONTWAIT);
    }
    rl_web_run(web);
    have = answer_take(ends[0], answer, have, sizeof(answer));
  }
  for (int turn = 0; turn < TURNS; ++turn) {
    rl_web_run(web);
    if (turn == 2 && rl_web_streams(web)) {
      rl_web_tell(web);
    }
    have = answer_take(ends[0], answer, have, sizeof(answer));
  }
  close(ends[0]);
  rl_web_tell(web); /* wakes who sleeps: its end is seen */
  for (int turn = 0; turn < TURNS; ++turn) {
    rl_web_run(web);
  }
#ifdef RL_PLANTED_BUG
  const bool known = false;
#else
  const bool known = holds(sent, length, door.key) || holds(sent, length, "%");
#endif
  DEMAND(known || !holds(answer, have, "HTTP/1.1 200"));
  DEMAND(known || !holds(answer, have, "HTTP/1.1 302"));
  DEMAND(!holds(answer, have, "HTTP/1.1 5") || rl_web_streams(web) <= RL_STREAMS_MAX);
  return 0;
}
