/* SPDX-License-Identifier: ISC */
/* Sound: out is in, bit for bit, whatever the buffers are. Source: plugin/PORTS.md: a
   bit-exact copy, in-place safe, no latency; optional ports may be left unconnected. IEEE 754 for
   the patterns. */
#include "scene.h"

#include "tests/dice.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { BLOCK_MAX = 8192, GUARD = 16, SIDES = 2 };

static const char *const ins[]      = {"in_left", "in_right"};
static const char *const outs[]     = {"out_left", "out_right"};
static const char *const optional[] = {"harp_in", "midi_out", "midi_in"};

/* Noise in which every kind of float occurs: any bits at all are sound. */
static uint32_t source[SIDES][BLOCK_MAX];

static int
source_make(void **const state)
{
  static const uint32_t special[] = {
    0x00000000, 0x80000000, /* both zeros */
    0x00000001, 0x807FFFFF, /* denormals */
    0x7F800000, 0xFF800000, /* infinities */
    0x7FC00000, 0xFFC12345, /* quiet NaNs, the second with a payload */
    0x7F800001, 0xFFBFFFFF, /* signalling NaNs */
    0x7F7FFFFF, 0x3F800000, /* the largest, and one */
  };
  uint64_t dice = 88172645463325252U;
  (void)state;
  for (int side = 0; side < SIDES; ++side) {
    for (size_t i = 0; i < BLOCK_MAX; ++i) {
      const uint32_t any = (uint32_t)(dice_next(&dice) >> 16U);
      source[side][i]    = i % 5 == 0 ? special[(i / 5 + (size_t)side) % COUNT(special)] : any;
    }
  }
  return 0;
}

static int
sides_of(const Scene *const s)
{
  return s->mono ? 1 : 2;
}

/* A block and a fence behind it. */
typedef struct {
  uint32_t sound[BLOCK_MAX + GUARD];
} Buffer;

static void
buffer_fill(Buffer *const b, const uint32_t *const sound, const uint32_t frames)
{
  memset(b->sound, 0x5A, sizeof(b->sound));
  if (sound) {
    memcpy(b->sound, sound, frames * sizeof(uint32_t));
  }
}

static void
buffer_holds(const Buffer *const b, const uint32_t *const sound, const uint32_t frames)
{
  static const uint32_t fence = 0x5A5A5A5A;
  if (memcmp(b->sound, sound, frames * sizeof(uint32_t)) != 0) {
    fail_msg("a block of %u frames is not the same", frames);
  }
  for (uint32_t i = frames; i < frames + GUARD; ++i) {
    if (b->sound[i] != fence) {
      fail_msg("frame %u of a block of %u is written", i, frames);
    }
  }
}

static void
open_with(Scene *const s, const char *const uri)
{
  const RlHostChoice choice = scene_choice(uri);
  scene_open(s, &choice);
  rl_host_activate(s->host);
  scene_settle(s);
}

static const char *const plugins[] = {STEREO, MONO};

/* ---- every block ---- */

static void
every_block_from_0_to_8192_frames_comes_out_as_it_went_in(void **state)
{
  static Buffer in[SIDES];
  static Buffer out[SIDES];
  (void)state;
  for (size_t p = 0; p < COUNT(plugins); ++p) {
    for (int in_place = 0; in_place < 2; ++in_place) {
      Scene s;
      open_with(&s, plugins[p]);
      for (int side = 0; side < sides_of(&s); ++side) {
        rl_host_connect(s.host, ins[side], &in[side], 0);
        rl_host_connect(s.host, outs[side], in_place ? &in[side] : &out[side], 0);
      }
      for (uint32_t frames = 0; frames <= BLOCK_MAX; ++frames) {
        for (int side = 0; side < sides_of(&s); ++side) {
          buffer_fill(&in[side], source[side], frames);
          buffer_fill(&out[side], NULL, 0);
        }
        scene_run(&s, frames);
        for (int side = 0; side < sides_of(&s); ++side) {
          buffer_holds(in_place ? &in[side] : &out[side], source[side], frames);
          buffer_holds(&in[side], source[side], frames); /* and what went in is left alone */
        }
      }
      scene_end(&s);
    }
  }
}

/* The host of the demo and the benchmark shares buffers itself. */
static void
the_embedded_host_s_own_in_place_run_copies_too(void **state)
{
  (void)state;
  for (size_t p = 0; p < COUNT(plugins); ++p) {
    for (int in_place = 0; in_place < 2; ++in_place) {
      Scene        s;
      RlHostChoice choice = scene_choice(plugins[p]);
      choice.in_place     = in_place;
      scene_open(&s, &choice);
      rl_host_activate(s.host);
      for (int side = 0; side < sides_of(&s); ++side) {
        memcpy(rl_host_audio(s.host, ins[side]), source[side], BLOCK_MAX * sizeof(float));
        assert_int_equal(rl_host_audio(s.host, ins[side]) == rl_host_audio(s.host, outs[side]),
                         in_place);
      }
      scene_run(&s, BLOCK_MAX);
      for (int side = 0; side < sides_of(&s); ++side) {
        assert_memory_equal(rl_host_audio(s.host, outs[side]), source[side],
                            BLOCK_MAX * sizeof(float));
      }
      scene_end(&s);
    }
  }
}

/* ---- shared buffers ---- */

/* Which of four buffers each port has: in left, in right, out left, out right. Every way of sharing
   is here in which the two inputs are two buffers, and so are the two outputs. */
static void
however_the_buffers_are_shared_each_side_stays_itself(void **state)
{
  static Buffer buffer[4];
  int           ways = 0;
  Scene         s;
  (void)state;
  open_with(&s, STEREO);
  for (int way = 0; way < 256; ++way) {
    const int at[4] = {way & 3, way >> 2 & 3, way >> 4 & 3, way >> 6 & 3};
    if (at[0] == at[1] || at[2] == at[3]) {
      continue; /* two sides in one buffer: see below */
    }
    ++ways;
    for (int side = 0; side < SIDES; ++side) {
      rl_host_connect(s.host, ins[side], &buffer[at[side]], 0);
      rl_host_connect(s.host, outs[side], &buffer[at[2 + side]], 0);
    }
    for (uint32_t frames = 0; frames <= BLOCK_MAX; frames = frames * 2 + 1) {
      for (int i = 0; i < 4; ++i) {
        buffer_fill(&buffer[i], NULL, 0);
      }
      for (int side = 0; side < SIDES; ++side) {
        buffer_fill(&buffer[at[side]], source[side], frames);
      }
      scene_run(&s, frames);
      for (int side = 0; side < SIDES; ++side) {
        buffer_holds(&buffer[at[2 + side]], source[side], frames);
      }
      for (int side = 0; side < SIDES; ++side) { /* an input that is no output is left alone */
        if (at[side] != at[2] && at[side] != at[3]) {
          buffer_holds(&buffer[at[side]], source[side], frames);
        }
      }
    }
  }
  assert_int_equal(ways, 12 * 12);
  scene_end(&s);
}

/* A mono source on both inputs, in place or not. */
static void
one_buffer_may_be_both_inputs(void **state)
{
  static Buffer buffer[3];
  Scene         s;
  (void)state;
  open_with(&s, STEREO);
  for (int left = 0; left < 3; ++left) {
    for (int right = 0; right < 3; ++right) {
      rl_host_connect(s.host, "in_left", &buffer[0], 0);
      rl_host_connect(s.host, "in_right", &buffer[0], 0);
      rl_host_connect(s.host, "out_left", &buffer[left], 0);
      rl_host_connect(s.host, "out_right", &buffer[right], 0);
      for (int i = 0; i < 3; ++i) {
        buffer_fill(&buffer[i], i ? NULL : source[0], 1000);
      }
      scene_run(&s, 1000);
      buffer_holds(&buffer[0], source[0], 1000);
      buffer_holds(&buffer[left], source[0], 1000);
      buffer_holds(&buffer[right], source[0], 1000);
    }
  }
  scene_end(&s);
}

/* The microphone shares a buffer with whatever the host likes; it is never heard in the output. */
static void
the_microphone_is_not_heard(void **state)
{
  static Buffer in[SIDES];
  static Buffer out[SIDES];
  (void)state;
  for (int share = 0; share < 3; ++share) { /* a buffer of its own, in_left's, out_right's */
    static Buffer own;
    Scene         s;
    open_with(&s, STEREO);
    for (int side = 0; side < SIDES; ++side) {
      rl_host_connect(s.host, ins[side], &in[side], 0);
      rl_host_connect(s.host, outs[side], &out[side], 0);
      buffer_fill(&in[side], source[side], 512);
      buffer_fill(&out[side], NULL, 0);
    }
    buffer_fill(&own, source[1], 512);
    rl_host_connect(s.host, "harp_in", share == 0 ? &own : share == 1 ? &in[0] : &out[1], 0);
    scene_run(&s, 512);
    buffer_holds(&out[0], source[0], 512);
    buffer_holds(&out[1], source[1], 512);
    scene_end(&s);
  }
}

/* ---- whatever else goes on ---- */

static void
sound_passes_switched_off_freewheeling_and_while_charts_and_pedals_come(void **state)
{
  static Buffer in[SIDES];
  static Buffer out[SIDES];
  (void)state;
  for (size_t p = 0; p < COUNT(plugins); ++p) {
    Scene        s;
    const Report start = rolling_at(0, 0);
    open_with(&s, plugins[p]);
    for (int side = 0; side < sides_of(&s); ++side) {
      rl_host_connect(s.host, ins[side], &in[side], 0);
      rl_host_connect(s.host, outs[side], &out[side], 0);
    }
    for (uint32_t i = 0; i < 400; ++i) {
      const uint32_t frames = 1 + i * 7919 % BLOCK_MAX;
      rl_host_set(s.host, "enabled", (float)(i % 2));
      rl_host_set(s.host, "freewheel", (float)(i / 2 % 2));
      rl_host_set(s.host, "send_osc", (float)(i / 4 % 2));
      rl_host_set(s.host, "clock", (float)(i / 8 % 2));
      rl_host_set(s.host, "capture", (float)(i % 3 == 0));
      rl_host_set(s.host, "tap", (float)(i / 3 % 2));
      if (i % 5 == 0) {
        scene_report(&s, i % frames, &start);
      }
      if (i % 9 == 0) {
        scene_send(&s, 0, "chart", i % 2 ? "| I7 | IV7 |" : "| H7 |");
      }
      if (i == 200) {
        rl_host_deactivate(s.host);
        rl_host_activate(s.host);
      }
      for (int side = 0; side < sides_of(&s); ++side) {
        buffer_fill(&in[side], source[side], frames);
        buffer_fill(&out[side], NULL, 0);
      }
      scene_run(&s, frames);
      for (int side = 0; side < sides_of(&s); ++side) {
        buffer_holds(&out[side], source[side], frames);
      }
    }
    scene_end(&s);
  }
}

static void
ports_that_are_optional_may_be_left_unconnected(void **state)
{
  static Buffer in[SIDES];
  static Buffer out[SIDES];
  (void)state;
  for (size_t p = 0; p < COUNT(plugins); ++p) {
    for (unsigned without = 0; without < 8; ++without) { /* each alone and all together */
      Scene        s;
      const Report start = rolling_at(2, 0);
      open_with(&s, plugins[p]);
      for (unsigned i = 0; i < COUNT(optional); ++i) {
        if (without >> i & 1U) {
          rl_host_connect(s.host, optional[i], NULL, 0);
        }
      }
      for (int side = 0; side < sides_of(&s); ++side) {
        rl_host_connect(s.host, ins[side], &in[side], 0);
        rl_host_connect(s.host, outs[side], &out[side], 0);
        buffer_fill(&in[side], source[side], 6001);
        buffer_fill(&out[side], NULL, 0);
      }
      scene_report(&s, 0, &start);
      scene_run(&s, 6001);
      for (int side = 0; side < sides_of(&s); ++side) {
        buffer_holds(&out[side], source[side], 6001);
      }
      SHOWS(&s, 1, 3, 1.25);
      scene_controller(&s, "control", 0, 0, 81, 127); /* feet still work by the other way */
      scene_run(&s, 10);
      SAME(s.bar, 1);
      scene_end(&s);
    }
  }
}

/* LV2 lets a host connect a port anew between two blocks. */
static void
buffers_may_change_from_block_to_block(void **state)
{
  static Buffer in[SIDES][3];
  static Buffer out[SIDES][3];
  Scene         s;
  (void)state;
  open_with(&s, STEREO);
  for (int i = 0; i < 60; ++i) {
    for (int side = 0; side < SIDES; ++side) {
      rl_host_connect(s.host, ins[side], &in[side][i % 3], 0);
      rl_host_connect(s.host, outs[side], i % 4 == 3 ? &in[1 - side][i % 3] : &out[side][i / 3 % 3],
                      0);
      buffer_fill(&out[side][i / 3 % 3], NULL, 0);
      buffer_fill(&in[side][i % 3], source[side], 700);
    }
    scene_run(&s, 700);
    for (int side = 0; side < SIDES; ++side) {
      buffer_holds(i % 4 == 3 ? &in[1 - side][i % 3] : &out[side][i / 3 % 3], source[side], 700);
    }
  }
  scene_end(&s);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(every_block_from_0_to_8192_frames_comes_out_as_it_went_in),
    cmocka_unit_test(the_embedded_host_s_own_in_place_run_copies_too),
    cmocka_unit_test(however_the_buffers_are_shared_each_side_stays_itself),
    cmocka_unit_test(one_buffer_may_be_both_inputs),
    cmocka_unit_test(the_microphone_is_not_heard),
    cmocka_unit_test(sound_passes_switched_off_freewheeling_and_while_charts_and_pedals_come),
    cmocka_unit_test(ports_that_are_optional_may_be_left_unconnected),
    cmocka_unit_test(buffers_may_change_from_block_to_block),
  };
  return cmocka_run_group_tests_name("plugin/audio", tests, source_make, NULL);
}
