/* SPDX-License-Identifier: ISC */
#include "listening.h"

#include <stdio.h>
#include <string.h>

void
osc_to(Scene *const s, const char *const before, const unsigned port)
{
  char text[1024];
  snprintf(text, sizeof(text), "%s:%u", before, port);
  scene_send(s, 0, "osc_to", text);
}

void
play(Show *const s, const int64_t frames)
{
  for (int64_t left = frames; left > 0; left -= BLOCK) {
    scene_run(&s->scene, left < BLOCK ? (uint32_t)left : BLOCK);
    ear_hear(&s->ear);
  }
}

void
show_begin(Show *const s)
{
  scene_begin(&s->scene);
  ear_open(&s->ear, "127.0.0.1");
  osc_to(&s->scene, "127.0.0.1", s->ear.port);
  const Report report = rolling_at(0, 0);
  scene_report(&s->scene, 0, &report);
  play(s, BLOCK);
  assert_int_equal(s->ear.packets, 0);
}

void
show_open(Show *const s)
{
  show_begin(s);
  rl_host_set(s->scene.host, "send_osc", 1);
  play(s, 2 * BLOCK);
  assert_true(ear_count(&s->ear, "/reedlamp/lamp/") > 0);
  ear_forget(&s->ear);
}

void
show_end(Show *const s)
{
  scene_end(&s->scene);
  ear_close(&s->ear);
}

int
notes_of(const RlHarp *const harp)
{
  int notes = 0;
  for (int i = 0; i < RL_HOLES * RL_TECHNIQUES; ++i) {
    notes += harp->note[i / RL_TECHNIQUES][i % RL_TECHNIQUES] > 0;
  }
  return notes;
}

size_t
different_tags(const Ear *const ear)
{
  size_t tags = 0;
  for (size_t i = 0; i < ear->count; ++i) {
    tags += i == 0 || ear->heard[i].when != ear->heard[i - 1].when;
  }
  return tags;
}

void
check_full(const Ear *const ear, const RlHarpChoice choice)
{
  static const char *const once[] = {"/reedlamp/transport", "/reedlamp/place",  "/reedlamp/chord",
                                     "/reedlamp/target",    "/reedlamp/harp",   "/reedlamp/chart",
                                     "/reedlamp/plan",      "/reedlamp/phrase", "/reedlamp/loop",
                                     "/reedlamp/practice"};
  const RlHarp             harp   = rl_harp_make(choice);
  for (size_t i = 0; i < sizeof(once) / sizeof(once[0]); ++i) {
    assert_int_equal(ear_count(ear, once[i]), 1);
  }
  assert_int_equal(ear_count(ear, "/reedlamp/lamp/"), notes_of(&harp));
  assert_int_equal(different_tags(ear), 1);
}

void
check_last(Show *const s)
{
  const RlHarp harp = rl_harp_make((RlHarpChoice){0});
  assert_int_equal(ear_count(&s->ear, "/reedlamp/transport"), 1);
  TEXT(ear_last(&s->ear, "/reedlamp/transport"), "0 120 4 4");
  assert_int_equal(ear_count(&s->ear, "/reedlamp/lamp/"), notes_of(&harp));
  TEXT(ear_last(&s->ear, "/reedlamp/phrase"), "0 0 0 0 \"\" \"\" 0 \"\"");
  assert_int_equal(s->ear.count, 2 + (size_t)notes_of(&harp));
  assert_int_equal(different_tags(&s->ear), 1);
  for (size_t i = 2; i < s->ear.count; ++i) {
    assert_int_equal(strncmp(s->ear.heard[i].words, "0 \"off\" \"\" ", 11), 0);
  }
  ear_forget(&s->ear);
}
