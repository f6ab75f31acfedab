/* SPDX-License-Identifier: ISC */
#include "feet.h"

#include <math.h>

const char twelve[] =
  "key: G\n| I7 | IV7 | I7 | % |\n| IV7 | % | I7 | % |\n| V7 | IV7 | I7 | V7 |\n";
const char crooked[]      = "key: A\n| I7 | IV7 | 2/4 IV7 | 4/4 I7 |\n";
const char with_lead_in[] = "key: G\nlead-in: 2 from 3\n| I7 | IV7 | I7 | V7 |\n";

void
begin_by_taps(Scene *const s, const char *const chart)
{
  scene_begin(s);
  scene_chart(s, chart);
  rl_host_set(s->host, "clock", 1);
  scene_settle(s);
}

void
begin_at(Scene *const s, const char *const chart, const Report *const where, const uint32_t frames)
{
  scene_begin(s);
  scene_chart(s, chart);
  scene_report(s, 0, where);
  scene_run(s, frames);
}

void
step_at(Scene *const s, const char *const port, const int64_t frame, const int controller,
        const uint32_t block)
{
  while (s->now + block <= frame) {
    scene_run(s, block);
  }
  scene_controller(s, port, frame - s->now, 0, controller, 127);
  while (s->now + block <= frame + 2000) {
    scene_run(s, block);
  }
  scene_controller(s, port, frame + 2000 - s->now, 0, controller, 0);
  scene_run(s, block);
}

const Place *
place_of(const Scene *const s, const int chorus, const int bar, const int beat)
{
  for (size_t i = 0; i < s->places; ++i) {
    const Place *const p = &s->place[i];
    if (p->chorus == chorus && p->bar == bar && (int)floor(p->beat + 1e-6) == beat) {
      return p;
    }
  }
  fail_msg("chorus %d, bar %d, beat %d was not told", chorus, bar, beat);
  return NULL;
}
