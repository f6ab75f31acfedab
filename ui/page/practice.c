/* SPDX-License-Identifier: ISC */
#include "ui/page/practice.h"

#include "ui/model/practice.h"

#include <assert.h>
#include <math.h>

typedef struct {
  int            count;
  RlPracticeLine line[RL_PAGE_PRACTICE_MOST];
} Choruses;

static void
choruses_read(RlSlice lines, Choruses *const c)
{
  RlSlice        line;
  RlPracticeLine read;
  int            count = 0;
  while (rl_practice_line_next(&lines, &line)) {
    if (rl_practice_line_read(line, &read)) {
      c->line[count++ % RL_PAGE_PRACTICE_MOST] = read;
    }
  }
  c->count = count;
}

/* The n-th of those kept, the oldest first. */
static const RlPracticeLine *
chorus(const Choruses *const c, const int n)
{
  const int first = c->count > RL_PAGE_PRACTICE_MOST ? c->count : 0;
  return &c->line[(first + n) % RL_PAGE_PRACTICE_MOST];
}

static int
kept(const Choruses *const c)
{
  return c->count < RL_PAGE_PRACTICE_MOST ? c->count : RL_PAGE_PRACTICE_MOST;
}

static void
percent_add(RlText *const json, const double share)
{
  rl_text_add_int(json, share < 0 ? -1 : lround(100 * share));
}

static void
chorus_add(RlText *const json, const RlPanel panel, const RlTally *const t)
{
  const double good = rl_panel_good(panel, t);
  if (panel != RL_PANEL_ROLES || good < 0) {
    percent_add(json, good);
    return;
  }
  for (int part = 0; part < RL_PANEL_PARTS; ++part) {
    rl_text_add(json, part ? "," : "[");
    percent_add(json, rl_panel_part(t, part));
  }
  rl_text_add(json, "]");
}

static void
panel_add(RlText *const json, const RlPanel panel, const Choruses *const c)
{
  rl_text_add(json, "[\"");
  rl_text_add(json, rl_panel_title(panel));
  rl_text_add(json, "\",\"");
  rl_panel_words(panel, &chorus(c, kept(c) - 1)->tally, json);
  rl_text_add(json, "\",[");
  for (int n = 0; n < kept(c); ++n) {
    rl_text_add(json, n ? "," : "");
    chorus_add(json, panel, &chorus(c, n)->tally);
  }
  rl_text_add(json, "]]");
}

size_t
rl_page_practice_write(const RlSlice lines, char json[RL_PAGE_PRACTICE_SIZE])
{
  Choruses c;
  RlText   text = rl_text_in(json, RL_PAGE_PRACTICE_SIZE);
  choruses_read(lines, &c);
  rl_text_add(&text, "{\"said\":\"");
  if (c.count) {
    rl_practice_line_brief(chorus(&c, kept(&c) - 1), &text);
  }
  rl_text_add(&text, "\",\"days\":[");
  for (int n = 0; n < kept(&c); ++n) {
    rl_text_add(&text, n ? ",\"" : "\"");
    rl_practice_day_write(chorus(&c, n), &text);
    rl_text_add(&text, "\"");
  }
  rl_text_add(&text, "],\"panels\":[");
  for (int panel = 0; c.count && panel < RL_PANELS; ++panel) {
    rl_text_add(&text, panel ? "," : "");
    panel_add(&text, (RlPanel)panel, &c);
  }
  rl_text_add(&text, "]}");
  assert(text.used + 1 < text.size);
  return text.used;
}
