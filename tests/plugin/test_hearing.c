/* SPDX-License-Identifier: ISC */
/* What crosses between audio thread and listener: sound in chunks that know their frames, places by
   the host's frames, news. */
#include "plugin/shared/hearing.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

enum { RATE = 48000, LONG = 2 * RL_SOUND_CHUNKS * RL_SOUND_FRAMES };

static float sound[LONG];

static RlSoundRing *
ring_make(void)
{
  for (int i = 0; i < LONG; ++i) {
    sound[i] = (float)i;
  }
  return calloc(1, sizeof(RlSoundRing));
}

/* Takes every chunk: each must hold the frames it says it does. Returns how many frames. */
static int64_t
take_all(RlSoundRing *const r, int64_t *const due)
{
  int64_t frames = 0;
  for (const RlSoundChunk *c; (c = rl_sound_ring_peek(r)); rl_sound_ring_drop(r)) {
    assert_true(c->frames > 0 && c->head.frame >= *due);
    for (uint32_t i = 0; i < c->frames; ++i) {
      assert_true(c->sound[i] == (float)(c->head.frame + i));
    }
    *due = c->head.frame + c->frames;
    frames += c->frames;
  }
  return frames;
}

static void
sound_of_any_block_comes_as_it_went(void **const state)
{
  static const uint32_t blocks[] = {1, 3, 255, 256, 257, 8192};
  (void)state;
  for (size_t b = 0; b < sizeof(blocks) / sizeof(blocks[0]); ++b) {
    RlSoundRing *const r      = ring_make();
    int64_t            frames = 0, due = 0;
    for (uint32_t at = 0; at + blocks[b] <= 40000; at += blocks[b]) {
      const RlSoundHead head = {.frame = at, .song = 1000 + at, .rolling = true};
      assert_true(rl_sound_ring_put(r, &head, sound + at, sound + at, blocks[b]));
      frames += take_all(r, &due);
      assert_true(at + blocks[b] - due < RL_SOUND_FRAMES);
    }
    assert_true(frames >= 39000 / blocks[b] * blocks[b]);
    free(r);
  }
}

static void
both_sides_are_added(void **const state)
{
  const RlSoundHead  head                   = {0};
  float              other[RL_SOUND_FRAMES] = {0};
  RlSoundRing *const r                      = ring_make();
  (void)state;
  assert_true(rl_sound_ring_put(r, &head, sound, other, RL_SOUND_FRAMES));
  assert_true(rl_sound_ring_peek(r)->sound[200] == 100);
  rl_sound_ring_drop(r);
  assert_true(rl_sound_ring_put(r, &head, sound, NULL, RL_SOUND_FRAMES));
  assert_true(rl_sound_ring_peek(r)->sound[200] == 200);
  free(r);
}

/* Whatever changes begins a chunk of its own, at its frame. */
static void
a_chunk_is_of_one_kind(void **const state)
{
  static const RlSoundHead changes[] = {{.song = 99999, .rolling = true},
                                        {.song = 10, .chart = 1, .rolling = true},
                                        {.song = 10, .key = 3, .rolling = true},
                                        {.song = 10, .rolling = false},
                                        {.song = 10, .rolling = true, .freewheel = true},
                                        {.song = 10, .rolling = true, .word = RL_WORD_BAR_ONE},
                                        {.song = RL_SONG_UNKNOWN, .rolling = true}};
  (void)state;
  for (size_t i = 0; i < sizeof(changes) / sizeof(changes[0]); ++i) {
    RlSoundRing *const r     = ring_make();
    const RlSoundHead  first = {.frame = 0, .song = 0, .rolling = true};
    RlSoundHead        next  = changes[i];
    next.frame               = 10;
    rl_sound_ring_put(r, &first, sound, NULL, 10);
    assert_null(rl_sound_ring_peek(r));
    rl_sound_ring_put(r, &next, sound + 10, NULL, 2 * RL_SOUND_FRAMES);
    assert_int_equal(rl_sound_ring_peek(r)->frames, 10);
    rl_sound_ring_drop(r);
    assert_int_equal(rl_sound_ring_peek(r)->head.frame, 10);
    assert_int_equal(rl_sound_ring_peek(r)->head.word, changes[i].word);
    rl_sound_ring_drop(r);
    assert_int_equal(rl_sound_ring_peek(r)->head.word, RL_WORD_NONE); /* said once */
    free(r);
  }
}

static void
what_finds_no_room_is_left_out_and_the_frames_say_so(void **const state)
{
  RlSoundRing *const r    = ring_make();
  RlSoundHead        head = {.frame = 0};
  int64_t            due  = 0;
  (void)state;
  assert_false(rl_sound_ring_put(r, &head, sound, NULL, LONG));
  assert_int_equal(take_all(r, &due), RL_SOUND_CHUNKS * RL_SOUND_FRAMES);
  head.frame = LONG - 300;
  assert_true(rl_sound_ring_put(r, &head, sound + head.frame, NULL, 300));
  assert_int_equal(rl_sound_ring_peek(r)->head.frame, LONG - 300);
  assert_int_equal(take_all(r, &due), RL_SOUND_FRAMES);
  rl_sound_ring_clear(r);
  assert_null(rl_sound_ring_peek(r));
  free(r);
}

static void
a_place_is_found_where_it_was_kept_and_nowhere_else(void **const state)
{
  RlPlaces *const p = calloc(1, sizeof(*p));
  RlFeltPlace     found;
  (void)state;
  assert_false(rl_places_find(p, RATE, 0, &found));
  for (int64_t song = 5 * RATE; song < 9 * RATE; song += 960) {
    rl_places_keep(p, RATE, song, (RlFeltPlace){(double)song / RATE * 2, 120});
  }
  for (int64_t song = 5 * RATE; song < 9 * RATE; song += 777) {
    assert_true(rl_places_find(p, RATE, song, &found));
    assert_true(fabs(found.felt - (double)song / RATE * 2) < 0.001 && found.tempo == 120);
  }
  assert_false(rl_places_find(p, RATE, 4 * RATE, &found));
  assert_false(rl_places_find(p, RATE, 10 * RATE, &found));
  assert_false(rl_places_find(p, RATE, -RATE, &found));
  assert_false(rl_places_find(p, RATE, INT64_MAX / 2, &found));
  rl_places_keep(p, RATE, -RATE, (RlFeltPlace){1, 120}); /* none of these can be kept */
  rl_places_keep(p, RATE, INT64_MAX / 2, (RlFeltPlace){1, 120});
  rl_places_keep(p, RATE, 0, (RlFeltPlace){1e9, 120});
  rl_places_keep(p, RATE, 0, (RlFeltPlace){1, 1e9});
  assert_false(rl_places_find(p, RATE, 0, &found));
  /* an hour on another one lies in the same slot */
  rl_places_keep(p, RATE, 6 * RATE + (int64_t)RL_PLACES / RL_PLACES_EACH * RATE,
                 (RlFeltPlace){7, 90});
  assert_true(
    rl_places_find(p, RATE, 6 * RATE + (int64_t)RL_PLACES / RL_PLACES_EACH * RATE, &found));
  assert_true(fabs(found.felt - 7) < 0.001);
  rl_places_keep(p, RATE, 0, (RlFeltPlace){-0.1, 120}); /* reckoned back to the start */
  assert_true(rl_places_find(p, RATE, 0, &found) && found.felt == 0);
  rl_places_forget(p);
  rl_places_keep(p, RATE, 0, (RlFeltPlace){-0.3, 120});
  assert_false(rl_places_find(p, RATE, 0, &found));
  rl_places_forget(p);
  assert_false(rl_places_find(p, RATE, 6 * RATE, &found));
  free(p);
}

static void
news_come_in_order_and_are_dropped_where_there_is_no_room(void **const state)
{
  RlHearing *const h = calloc(1, sizeof(*h));
  RlNews           news;
  (void)state;
  assert_false(rl_news_pop(h, &news));
  for (int round = 0; round < 3; ++round) {
    for (int i = 0; i < RL_NEWS_SLOTS + 5; ++i) {
      rl_news_put(h, &(RlNews){.report = {.frame = i}});
    }
    for (int i = 0; i < RL_NEWS_SLOTS; ++i) {
      assert_true(rl_news_pop(h, &news));
      assert_int_equal(news.report.frame, i);
    }
    assert_false(rl_news_pop(h, &news));
  }
  free(h);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(sound_of_any_block_comes_as_it_went),
    cmocka_unit_test(both_sides_are_added),
    cmocka_unit_test(a_chunk_is_of_one_kind),
    cmocka_unit_test(what_finds_no_room_is_left_out_and_the_frames_say_so),
    cmocka_unit_test(a_place_is_found_where_it_was_kept_and_nowhere_else),
    cmocka_unit_test(news_come_in_order_and_are_dropped_where_there_is_no_room),
  };
  return cmocka_run_group_tests_name("hearing", tests, NULL, NULL);
}
