/* SPDX-License-Identifier: ISC */
/* Feeds the page's server packets of any kind, some of them almost right, and looks at what it then
   tells browsers: one line of JSON in which every text is closed and nothing but printable ASCII
   stands, shorter than its room. An input is packets, each after two bytes of length. See
   fuzz_chart.c for how to build and what RL_PLANTED_BUG is. */
#include "demand.h"
#include "ui/page/state.h"
#include "ui/page/time_tag.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

typedef struct {
  RlPageState heard;
  RlTimeTag   when;
  double      now;
} Listener;

static void
hear(void *const data, const RlOscMessage *const m)
{
  Listener *const l    = (Listener *)data;
  const double    wall = 1.7e9 + l->now;
  DEMAND(m->address[0] == '/' && strlen(m->types) <= RL_OSC_ARGS_MAX);
  const double at =
    rl_time_tag_happened(&l->when, rl_osc_seconds(m->time), wall, l->now, m->time & 1);
  DEMAND(at > l->now - 5 && at < l->now + 5);
  rl_page_state_apply(&l->heard, m, at, l->now);
}

/* Quotes in pairs, braces closed, printable; a chord may be called `inf`, a number may not. */
static void
json_check(const char *const json, const size_t length)
{
  int  depth = 0;
  bool open  = false;
  DEMAND(length < RL_PAGE_STATE_JSON && strlen(json) == length);
  for (size_t i = 0; i < length; ++i) {
    DEMAND(json[i] >= ' ' && json[i] <= '~' && json[i] != '\\');
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
  DEMAND(t->length <= RL_PAGE_STATE_TEXT && t->text[t->length] == '\0');
  DEMAND(rl_slice_bad_byte((RlSlice){t->text, t->length}) < 0);
}

int
LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
  static Listener l;
  char            json[RL_PAGE_STATE_JSON];
  l = (Listener){.now = 100};
  while (size > 2) {
    const size_t   wanted = (size_t)data[0] << 8 | data[1];
    const size_t   length = wanted < size - 2 ? wanted : size - 2;
    uint8_t *const packet = (uint8_t *)malloc(length ? length : 1); /* its end is watched */
    DEMAND(packet);
    memcpy(packet, data + 2, length);
#ifdef RL_PLANTED_BUG
    rl_osc_read(packet, length + (length > 40), hear, &l);
#else
    rl_osc_read(packet, length, hear, &l);
#endif
    free(packet);
    data += length + 2;
    size -= length + 2;
    l.now += 0.3;
  }
  json_check(json, rl_page_state_write(&l.heard, l.now, json));
  text_check(&l.heard.chart);
  text_check(&l.heard.plan);
  return 0;
}
