/* SPDX-License-Identifier: ISC */
/* What the worker lends to the audio thread is taken, used and given back while the worker is a
   thread of its own: the ear for the player, and the ring that the track goes into. Made to be run
   with every access to memory watched (tests/checks.sh). */
#include "scene.h"

#include "core/arrange/plan.h"
#include "core/harmony/harp.h"
#include "tests/core/ear/horn.h"
#include "tests/plugin/reed_sound.h"

#include <stdlib.h>
#include <string.h>
#include <time.h>

enum { BLOCK = 256, SECOND = RATE / BLOCK, PARTS = 32 /* blocks */ };

static const struct timespec moment = {0, 1000000};

static void
begin(Scene *const s)
{
  RlHostChoice choice = scene_choice(STEREO);
  choice.worker       = RL_HOST_THREADED;
  scene_open(s, &choice);
  rl_host_activate(s->host);
  scene_run(s, 16);
}

/* Another harp every few blocks, none now and then: each ear is lent, and comes back. */
static void
the_ear_for_the_player_is_lent_and_comes_back(void **const state)
{
  Scene        s;
  int          heard = 0;
  float *const sound = calloc(RATE, sizeof(float));
  const RlHarp harp  = rl_harp_make((RlHarpChoice){0});
  (void)state;
  begin(&s);
  assert_non_null(sound);
  reed_add(sound, RATE, RATE, 0, 1, harp.note[3][RL_BLOW]);
  float *const in = rl_host_audio(s.host, "harp_in");
  for (int i = 0; i < 3 * SECOND; ++i) {
    memcpy(in, sound + (size_t)(i % SECOND) * BLOCK, BLOCK * sizeof(float));
    rl_host_set(s.host, "harp_from", i % 200 < 190);
    rl_host_set(s.host, "harp_key", i % 100 < 60 ? 0 : (float)(i / 4 % 12));
    scene_run(&s, BLOCK);
    nanosleep(&moment, NULL);
    heard += s.heard_hole > 0;
  }
  assert_true(heard > 0);
  scene_end(&s);
  free(sound);
}

static int
takes_of(Scene *const s)
{
  static RlPlan   takes;
  static RlPhrase phrase;
  RlPlanError     error;
  rl_host_send_get(s->host, 0, "urn:reedlamp:take");
  for (int i = 0; i < 4; ++i) {
    scene_run(s, 16);
    nanosleep(&moment, NULL);
  }
  assert_true(rl_plan_read(rl_slice(scene_told(s, "take")), &phrase, &takes, &error));
  return takes.phrase_count;
}

/* The track is kept, lifted from while it goes on, given up, and kept again. */
static void
the_track_is_kept_while_it_is_lifted_from(void **const state)
{
  Scene        s;
  size_t       frames;
  int          whole  = 0;
  const Report report = rolling_at(0, 0);
  float *const record = horn_record(RATE, 1, 0.4, 0, &frames);
  (void)state;
  begin(&s);
  scene_report(&s, 0, &report);
  float *const left = rl_host_audio(s.host, "in_left"), *const right =
                                                          rl_host_audio(s.host, "in_right");
  for (int i = 0; i < 12 * SECOND; ++i) {
    for (int k = 0; k < BLOCK; ++k) {
      const size_t f = (size_t)(i * BLOCK + k) % (4 * RATE);
      left[k]        = record[2 * f];
      right[k]       = record[2 * f + 1];
    }
    rl_host_set(s.host, "capture_from", i / SECOND % 6 == 5 ? 0 : 2);
    if (i % SECOND == SECOND / 2) {
      scene_send(&s, 0, "lift", i / SECOND % 2 ? "bars: 1" : "picture: Take 1");
    }
    rl_host_set(s.host, "keep_last", i % (2 * SECOND) == SECOND);
    scene_run(&s, BLOCK);
    nanosleep(&moment, NULL);
  }
  for (int i = 0; i < 400 && !takes_of(&s); ++i) {
  }
  assert_true(takes_of(&s) > 0);
  for (int i = 0; i < 20 * PARTS; ++i) { /* each is asked for while one before it is being told */
    if (i % (PARTS / 2) == 0 && i < 19 * PARTS) {
      scene_send(&s, 0, "lift", "picture: Take 1");
    }
    scene_run(&s, BLOCK);
    nanosleep(&moment, NULL);
    whole += s.picture.columns && s.picture.told == s.picture.columns;
  }
  assert_true(whole > 0);
  scene_send(&s, 0, "lift", "picture: Take 1"); /* it comes when nobody is there any more */
  scene_end(&s);                                /* something may still be lifted */
  free(record);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(the_ear_for_the_player_is_lent_and_comes_back),
    cmocka_unit_test(the_track_is_kept_while_it_is_lifted_from),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
