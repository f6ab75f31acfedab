/* SPDX-License-Identifier: ISC */
/* Feeds the page server packets of any kind, some of them almost valid, and checks what it then
   sends to browsers: one line of JSON, shorter than its buffer, in which every string is closed and
   every byte is printable ASCII. An input is packets, each after two bytes of length. See
   fuzz_chart.c for how to build and what RL_PLANTED_BUG is. */
#include "demand.h"
#include "ui/page/practice.h"
#include "ui/page/state.h"
#include "ui/page/time_tag.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

typedef struct {
  RlPageState   state;
  RlSenderClock sender;
  double        now;
} Listener;

static void
handle(void *const data, const RlOscMessage *const m)
{
  Listener *const l    = (Listener *)data;
  const double    wall = 1.7e9 + l->now;
  DEMAND(m->address[0] == '/' && strlen(m->types) <= RL_OSC_ARGS_MAX);
  const double at =
    rl_time_tag_to_local(&l->sender, rl_osc_seconds(m->time), wall, l->now, m->time & 1);
  DEMAND(at > l->now - 5 && at < l->now + 5);
  rl_page_state_apply(&l->state, m, at, l->now);
}

/* Quotes in pairs, braces closed, printable; a chord may be called `inf`, a number may not. */
static void
json_check(const char *const json, const size_t length, const size_t size)
{
  int  depth = 0;
  bool open  = false;
  DEMAND(length < size && strlen(json) == length);
  for (size_t i = 0; i < length; ++i) {
    const bool sign = json[i] == '\xc2' || json[i] == '\xb1'; /* the only one not of ASCII */
    DEMAND(sign || (json[i] >= ' ' && json[i] <= '~' && json[i] != '\\'));
    open = open != (json[i] == '"');
    DEMAND(open || (strncmp(json + i, "nan", 3) != 0 && strncmp(json + i, "inf", 3) != 0));
    depth += open ? 0 : (json[i] == '{' || json[i] == '[') - (json[i] == '}' || json[i] == ']');
    DEMAND(depth > 0 || i + 1 == length);
  }
  DEMAND(!open && depth == 0);
}

static void
text_check(const RlPageStateText *const t)
{
  DEMAND(t->length <= RL_PAGE_STATE_TEXT_MAX && t->text[t->length] == '\0');
  DEMAND(rl_slice_bad_byte((RlSlice){t->text, t->length}) < 0);
}

int
LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
  static Listener l;
  char            json[RL_PAGE_STATE_JSON_SIZE], panels[RL_PAGE_PRACTICE_SIZE];
  l = (Listener){.now = 100};
  while (size > 2) {
    const size_t   wanted = (size_t)data[0] << 8 | data[1];
    const size_t   length = wanted < size - 2 ? wanted : size - 2;
    uint8_t *const packet =
      (uint8_t *)malloc(length ? length : 1); /* the sanitizer watches its end */
    DEMAND(packet);
    memcpy(packet, data + 2, length);
#ifdef RL_PLANTED_BUG
    rl_osc_read(packet, length + (length > 40), handle, &l);
#else
    rl_osc_read(packet, length, handle, &l);
#endif
    free(packet);
    data += length + 2;
    size -= length + 2;
    l.now += 0.3;
  }
  const RlSlice practice = {l.state.practice.text, l.state.practice.length};
  json_check(json, rl_page_state_write(&l.state, l.now, json), sizeof(json));
  json_check(panels, rl_page_practice_write(practice, panels), sizeof(panels));
  text_check(&l.state.chart);
  text_check(&l.state.plan);
  text_check(&l.state.practice);
  return 0;
}
