/* SPDX-License-Identifier: ISC */
/* The player heard in a host: the ports and the object Played say what sounds, from the side chain
   or the track, at any rate and in any block; another harp is followed; the sound passes untouched;
   nothing is there while harp_from is 0. Source: plugin/PORTS.md. */
#include "scene.h"

#include "core/harmony/harp.h"
#include "tests/plugin/reed_sound.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#define HARP_IN "harp_in"

typedef struct {
  Scene       s;
  double      rate;
  const char *port; /* where the reed sounds */
  float      *sound;
  size_t      frames, at;
} Stage;

static void
begin_at(Stage *const g, const char *const uri, const char *const port, const double rate,
         const RlHostWorker worker)
{
  RlHostChoice choice = scene_choice(uri);
  memset(g, 0, sizeof(*g));
  choice.rate   = rate;
  choice.worker = worker;
  g->rate       = rate;
  g->port       = port;
  g->frames     = (size_t)(4 * rate);
  g->sound      = calloc(g->frames, sizeof(float));
  assert_non_null(g->sound);
  scene_open(&g->s, &choice);
  rl_host_activate(g->s.host);
  rl_host_set(g->s.host, "harp_from", strcmp(port, HARP_IN) == 0 ? 1 : 2);
  scene_settle(&g->s);
}

static void
begin(Stage *const g)
{
  begin_at(g, MONO, "in_left", RATE, RL_HOST_AFTER);
}

static void
end(Stage *const g)
{
  scene_end(&g->s);
  free(g->sound);
}

/* Plays the sound on, up to that second of it. */
static void
play_to(Stage *const g, const double until, const uint32_t block)
{
  float *const in = rl_host_audio(g->s.host, g->port);
  while (g->at < (size_t)(until * g->rate)) {
    const size_t left = (size_t)(until * g->rate) - g->at;
    const size_t n    = left < block ? left : block;
    memcpy(in, g->sound + g->at, n * sizeof(float));
    scene_run(&g->s, (uint32_t)n);
    g->at += n;
  }
}

static void
reed(const Stage *const g, const double on, const double off, const double midi)
{
  reed_add(g->sound, g->frames, g->rate, on, off, midi);
}

static const Played *
last(const Stage *const g)
{
  assert_true(g->s.playeds > 0);
  return &g->s.played[g->s.playeds - 1];
}

static RlHarp
c_harp(void)
{
  return rl_harp_make((RlHarpChoice){0, 0, RL_RICHTER});
}

static void
shows_nothing(const Stage *const g)
{
  SAME(g->s.heard_hole, 0);
  SAME(g->s.heard_technique, 0);
  SAME(g->s.heard_cents, 0);
}

/* ---- tests ---- */

static void
nothing_is_heard_until_it_is_asked_for(void **const state)
{
  Stage g;
  (void)state;
  begin(&g);
  rl_host_set(g.s.host, "harp_from", 0);
  reed(&g, 0, 4, c_harp().note[3][RL_DRAW]);
  play_to(&g, 1, 256);
  shows_nothing(&g);
  SAME(g.s.heard_level, -120);
  assert_int_equal(g.s.playeds, 1); /* that it is over */
  assert_int_equal(last(&g)->count, 0);
  rl_host_set(g.s.host, "harp_from", 2);
  play_to(&g, 1.3, 256);
  SAME(g.s.heard_hole, 4);
  end(&g);
}

static void
every_hole_is_told_by_port_and_object(void **const state)
{
  static const char *const ports[] = {"in_left", HARP_IN};
  const RlHarp             harp    = c_harp();
  (void)state;
  for (int i = 0; i < 4; ++i) {
    const int breath = i / 2; /* 2 draw and 3 blow are one pitch: the breath before decides */
    Stage     g;
    begin_at(&g, i / 2 ? STEREO : MONO, ports[i % 2], RATE, RL_HOST_AFTER);
    for (int hole = 0; hole < RL_HOLES; ++hole) {
      reed(&g, 0.1 + 0.3 * hole, 0.3 + 0.3 * hole, harp.note[hole][breath]);
    }
    for (int hole = 0; hole < RL_HOLES; ++hole) {
      play_to(&g, 0.25 + 0.3 * hole, 256);
      SAME(g.s.heard_hole, hole + 1);
      SAME(g.s.heard_technique, breath ? 4 : 0);
      NEAR(g.s.heard_cents, 0, 12);
      assert_true(g.s.heard_level > -36 && g.s.heard_level < -20);
      assert_int_equal(last(&g)->count, 1);
      assert_int_equal(last(&g)->hole[0], hole + 1);
      assert_int_equal(last(&g)->technique[0], breath ? 4 : 0);
      assert_int_equal(last(&g)->note[0], harp.note[hole][breath]);
      NEAR(last(&g)->since - 68.0 / RATE, 0.13 + 0.3 * hole, 0.03); /* 64 frames of settling */
      play_to(&g, 0.39 + 0.3 * hole, 256);
      shows_nothing(&g);
      assert_int_equal(last(&g)->count, 0);
    }
    end(&g);
  }
}

static void
any_rate_and_any_block_hears_the_same(void **const state)
{
  static const double   rates[]  = {22050, 44100, 48000, 96000, 192000};
  static const uint32_t blocks[] = {1, 2, 63, 64, 1024, 4097, 8192};
  const RlHarp          harp     = c_harp();
  (void)state;
  for (size_t r = 0; r < sizeof(rates) / sizeof(rates[0]); ++r) {
    double told[8] = {0};
    for (size_t b = 0; b < sizeof(blocks) / sizeof(blocks[0]); ++b) {
      Stage g;
      begin_at(&g, MONO, "in_left", rates[r], RL_HOST_AFTER);
      reed(&g, 0.1, 0.3, harp.note[1][RL_DRAW]);
      reed(&g, 0.4, 0.6, harp.note[5][RL_BLOW]);
      play_to(&g, 0.7, blocks[b]);
      double frames[8] = {0};
      int    onsets    = 0;
      for (size_t i = 0; i < g.s.playeds; ++i) {
        const bool begins = g.s.played[i].count && (!i || !g.s.played[i - 1].count);
        if (begins && onsets < 8) {
          frames[onsets++] = (double)g.s.played[i].frame;
        }
      }
      assert_int_equal(onsets, 2);
      for (int i = 0; i < onsets; ++i) {
        told[i] = b ? told[i] : frames[i];
        NEAR(frames[i], told[i], 0);
      }
      end(&g);
    }
  }
}

static void
two_reeds_together_are_two_notes(void **const state)
{
  const RlHarp harp = c_harp();
  Stage        g;
  (void)state;
  begin(&g);
  reed(&g, 0.1, 1, harp.note[3][RL_DRAW] + 0.02);
  reed(&g, 0.1, 1, harp.note[4][RL_DRAW] - 0.03);
  play_to(&g, 0.6, 256);
  assert_int_equal(last(&g)->count, 2);
  assert_int_equal(last(&g)->hole[0], 4);
  assert_int_equal(last(&g)->hole[1], 5);
  assert_true(g.s.heard_hole == 4 || g.s.heard_hole == 5);
  end(&g);
}

/* A bend held and let go slowly: its cents come, but not more than 40 times a second. */
static void
a_needle_moves_forty_times_a_second_at_most(void **const state)
{
  const RlHarp harp = c_harp();
  const double from = harp.note[3][RL_DRAW] - 0.2;
  double       turn = 0;
  Stage        g;
  (void)state;
  begin(&g);
  for (size_t i = 0; i < g.frames; ++i) { /* 15 cents of vibrato, five times a second */
    const double t = (double)i / RATE;
    turn += 6.283185307179586 * 440 / RATE * pow(2, (from + 0.15 * sin(31.4 * t) - 69) / 12);
    for (int n = 1; n <= 8; ++n) {
      g.sound[i] += (float)(0.06 * pow(n, -0.66) * sin(n * turn + n * n));
    }
  }
  play_to(&g, 0.5, 256);
  scene_forget(&g.s);
  play_to(&g, 2.5, 256);
  assert_in_range(g.s.playeds, 40, 81);
  double low = 1e9, high = -1e9;
  for (size_t i = 0; i < g.s.playeds; ++i) {
    const double midi = g.s.played[i].note[0] + g.s.played[i].off[0] / 100;
    low               = fmin(low, midi);
    high              = fmax(high, midi);
    assert_true(!i || g.s.played[i].at - g.s.played[i - 1].at > 0.0249);
    assert_int_equal(g.s.played[i].hole[0], 4);
  }
  NEAR(low, from - 0.15, 0.05);
  NEAR(high, from + 0.15, 0.05);
  end(&g);
}

static void
another_harp_is_followed_and_the_sound_passes_untouched(void **const state)
{
  Stage g;
  (void)state;
  begin(&g);
  reed(&g, 0, 4, c_harp().note[3][RL_DRAW]); /* D5: on a D harp 4 blow */
  play_to(&g, 0.5, 64);
  SAME(g.s.heard_hole, 4);
  SAME(g.s.heard_technique, 4);
  for (int i = 0; i < 40; ++i) {
    rl_host_set(g.s.host, "harp_key", (float)(i % 2 ? 0 : 2));
    rl_host_set(g.s.host, "overblows", (float)(i / 2 % 2));
    play_to(&g, 0.5 + 0.01 * i, 64);
    assert_memory_equal(rl_host_audio(g.s.host, "out_left"), rl_host_audio(g.s.host, "in_left"),
                        64 * sizeof(float));
  }
  rl_host_set(g.s.host, "harp_key", 2);
  rl_host_set(g.s.host, "overblows", 0);
  play_to(&g, 1.3, 64);
  SAME(g.s.heard_hole, 4);
  SAME(g.s.heard_technique, 0);
  rl_host_set(g.s.host, "harp_key", 0);
  rl_host_set(g.s.host, "tuning", RL_COUNTRY);
  play_to(&g, 1.6, 64);
  SAME(g.s.heard_hole, 4);
  SAME(g.s.heard_technique, 4);
  end(&g);
}

static void
switched_off_or_disabled_it_is_over_and_told_once(void **const state)
{
  static const char *const switches[] = {"harp_from", "enabled"};
  (void)state;
  for (int i = 0; i < 2; ++i) {
    Stage g;
    begin(&g);
    reed(&g, 0, 4, c_harp().note[3][RL_DRAW]);
    play_to(&g, 0.5, 256);
    SAME(g.s.heard_hole, 4);
    scene_forget(&g.s);
    rl_host_set(g.s.host, switches[i], 0);
    play_to(&g, 1, 256);
    shows_nothing(&g);
    SAME(g.s.heard_level, -120);
    assert_int_equal(g.s.playeds, 1);
    assert_int_equal(last(&g)->count, 0);
    end(&g);
  }
}

static void
who_asks_is_told(void **const state)
{
  Stage g;
  (void)state;
  begin(&g);
  play_to(&g, 0.5, 256);
  scene_forget(&g.s);
  rl_host_send_get(g.s.host, 0, NULL);
  play_to(&g, 0.6, 256);
  assert_int_equal(g.s.playeds, 1);
  rl_host_set(g.s.host, "harp_from", 0);
  play_to(&g, 0.7, 256);
  scene_forget(&g.s);
  rl_host_send_get(g.s.host, 0, NULL);
  play_to(&g, 0.8, 256);
  assert_int_equal(g.s.playeds, 0);
  end(&g);
}

/* A host that starts the transport anew starts no new time: what is told later is later. */
static void
time_goes_on_when_the_host_activates_again(void **const state)
{
  double before = 0;
  Stage  g;
  (void)state;
  begin(&g);
  reed(&g, 0, 4, c_harp().note[3][RL_DRAW]);
  for (int i = 1; i < 4; ++i) {
    scene_forget(&g.s);
    play_to(&g, 0.5 * i, 256);
    assert_true(g.s.playeds > 0);
    for (size_t n = 0; n < g.s.playeds; ++n) {
      assert_true(g.s.played[n].at >= before);
      before = g.s.played[n].at;
    }
    rl_host_deactivate(g.s.host);
    rl_host_activate(g.s.host);
    rl_host_set(g.s.host, "harp_key", (float)(i % 2));
    rl_host_set(g.s.host, "overblows", (float)(i > 1));
  }
  end(&g);
}

static void
where_it_began_is_told_while_a_place_is_known(void **const state)
{
  const Report report = rolling_at(0, 0); /* 120, 4/4: a bar lasts 2 s */
  Stage        g;
  (void)state;
  begin(&g);
  reed(&g, 2.5, 3, c_harp().note[3][RL_DRAW]); /* bar 2, beat 2 */
  scene_report(&g.s, 0, &report);
  play_to(&g, 2.8, 8192);
  assert_int_equal(last(&g)->count, 1);
  SAME(last(&g)->chorus, 1);
  SAME(last(&g)->bar, 2);
  NEAR(last(&g)->beat, 2.04, 0.04); /* known 20 to 40 ms after it began */
  end(&g);
}

#define GANGWAY                                                                                    \
  "bar 1: Gangway\n\nX:1\nT:Gangway\nM:4/4\nL:1/4\nK:G\n\"G7\"B d B d|\"C7\"e g e d|\"G7\"B4|\n"

static int
hits_of(const Scene *const s, const bool target, const double quarters)
{
  int n = 0;
  for (size_t i = 0; i < s->hits; ++i) {
    n += s->hit[i].target == target && fabs(s->hit[i].quarters - quarters) < 1e-3;
  }
  return n;
}

/* A C harp in G, 120: beat 2 is played on time, beat 3 wrongly, beat 4 too late, and so on. */
static void
what_is_hit_of_the_plan_and_of_the_targets_is_told(void **const state)
{
  static const double off[]   = {0.02, -0.08, 0, 0.2, 0.06, -0.2, 0, -0.06, 0.05};
  static const bool   right[] = {true, true, false, false, true, false, false, true, true};
  static const int    wrong[] = {0, 0, 1, 0, 0, 0, 2, 0, 0}; /* 1: another note; 2: nothing */
  static const int    note[]  = {71, 74, 71, 74, 76, 79, 76, 74, 71};
  const Report        report  = rolling_at(0, 0);
  Stage               g;
  (void)state;
  begin(&g);
  free(g.sound);
  g.frames = (size_t)(8 * g.rate);
  g.sound  = calloc(g.frames, sizeof(float));
  scene_chart(&g.s, "key: G\nmeter: 4/4\n| I7 | IV7 | I7 | IV7 |\n");
  scene_send(&g.s, 0, "plan", GANGWAY);
  scene_settle(&g.s);
  for (int i = 0; i < 9; ++i) {
    const double on = 0.5 * i + 0.002 + fmax(off[i], -0.5 * i);
    if (wrong[i] < 2) {
      reed(&g, on, on + 0.25, wrong[i] ? 84 : note[i]);
    }
  }
  scene_report(&g.s, 0, &report);
  play_to(&g, 6, 8192);
  for (int i = 0; i < 9; ++i) {
    assert_int_equal(hits_of(&g.s, false, i), right[i]);
  }
  assert_int_equal(hits_of(&g.s, true, 4), 1); /* the third of C7; G7's targets are not its third */
  assert_int_equal(g.s.hits, 6);
  for (size_t i = 0; i < g.s.hits; ++i) {
    const Hit *const h = &g.s.hit[i];
    SAME(h->bar, floor(h->quarters / 4) + 1);
    SAME(h->beat, fmod(h->quarters, 4) + 1);
    SAME(h->chorus, 1);
    NEAR((double)h->frame / g.rate * 2, h->quarters + 0.05, 0.35);
  }
  end(&g);
}

/* Standing still, without a place, nothing is hit. */
static void
nothing_is_hit_while_the_music_stands(void **const state)
{
  const Report report = parked_at(0, 0);
  Stage        g;
  (void)state;
  begin(&g);
  scene_chart(&g.s, "key: G\nmeter: 4/4\n| I7 |\n");
  scene_send(&g.s, 0, "plan", GANGWAY);
  scene_settle(&g.s);
  reed(&g, 0.1, 3, 71);
  play_to(&g, 1, 256);
  scene_report(&g.s, 0, &report);
  play_to(&g, 2, 256);
  assert_int_equal(g.s.hits, 0);
  end(&g);
}

/* The same hole by the tongue, four times: the ear hears one note, its level says that there are
 * more. */
static void
a_note_struck_again_plays_the_next_planned_one(void **const state)
{
  const Report report = rolling_at(0, 0);
  Stage        g;
  (void)state;
  begin(&g);
  scene_chart(&g.s, "key: G\nmeter: 4/4\n| I7 |\n");
  scene_send(&g.s, 0, "plan",
             "bar 1: Knock\n\nX:1\nT:Knock\nM:4/4\nL:1/8\nK:G\n\"G7\"B B B B z4|\n");
  scene_settle(&g.s);
  for (int i = 0; i < 4; ++i) {
    reed(&g, 0.25 * i + 0.01, 0.25 * i + 0.25, 71);
  }
  scene_report(&g.s, 0, &report);
  play_to(&g, 1.5, 512);
  for (int i = 0; i < 4; ++i) {
    assert_int_equal(hits_of(&g.s, false, 0.5 * i), 1);
  }
  end(&g);
}

/* A throat shakes a note six times a second, by 6 dB: that is one note. */
static void
a_note_that_is_shaken_is_not_struck_again(void **const state)
{
  const Report report = rolling_at(0, 0);
  Stage        g;
  (void)state;
  begin(&g);
  scene_chart(&g.s, "key: G\nmeter: 4/4\n| I7 |\n");
  scene_send(&g.s, 0, "plan",
             "bar 1: Buoy\n\nX:1\nT:Buoy\nM:4/4\nL:1/8\nK:G\n\"G7\"B B B B B B z2|\n");
  scene_settle(&g.s);
  reed(&g, 0.01, 1.6, 71);
  for (size_t i = 0; i < g.frames; ++i) {
    g.sound[i] *= (float)pow(10, 3 * sin(6.283185 * 6 * (double)i / RATE) / 20);
  }
  scene_report(&g.s, 0, &report);
  play_to(&g, 1.8, 512);
  int planned = 0;
  for (size_t i = 0; i < g.s.hits; ++i) {
    planned += g.s.hit[i].target == 0;
  }
  assert_int_equal(planned, 1);
  end(&g);
}

/* What is no sound, denormals, noise at full scale: nothing is told that is no number, no run()
   stalls, and a reed that comes after is heard. (The ranges are checked in every block.) */
static void
nonsense_on_the_microphone_does_no_harm(void **const state)
{
  static const float  nonsense[] = {NAN, INFINITY, -INFINITY, 1e30F, -1e38F, 1e-40F, -1e-45F, 0};
  static const double rates[]    = {22050, 48000, 192000};
  (void)state;
  for (size_t r = 0; r < sizeof(rates) / sizeof(rates[0]); ++r) {
    Stage    g;
    uint32_t dice = 1;
    begin_at(&g, MONO, HARP_IN, rates[r], RL_HOST_AFTER);
    for (size_t i = 0; i < (size_t)(2 * g.rate); ++i) {
      dice       = dice * 1664525U + 1013904223U;
      g.sound[i] = i < (size_t)g.rate ? nonsense[dice >> 29] : (float)(dice >> 8) / 8388608.0F - 1;
    }
    reed(&g, 3, 4, c_harp().note[3][RL_DRAW]);
    play_to(&g, 2, 1000);
    for (size_t i = 0; i < g.s.playeds; ++i) {
      const Played *const p = &g.s.played[i];
      assert_true(isfinite(p->level) && isfinite(p->sure));
      assert_true(!p->count || isfinite(p->off[0]));
    }
    play_to(&g, 3.3, 1000);
    SAME(g.s.heard_hole, 4);
    end(&g);
  }
}

/* Hosts may give an output the buffer of any input. */
static void
a_side_chain_that_shares_its_buffer_with_an_output_is_heard(void **const state)
{
  Stage g;
  (void)state;
  begin_at(&g, MONO, HARP_IN, RATE, RL_HOST_AFTER);
  rl_host_connect(g.s.host, "out_left", rl_host_audio(g.s.host, HARP_IN), 0);
  reed(&g, 0, 4, c_harp().note[3][RL_DRAW]);
  play_to(&g, 0.5, 256);
  SAME(g.s.heard_hole, 4);
  end(&g);
}

static void
a_worker_in_a_thread_and_none_at_all_do_the_same(void **const state)
{
  static const RlHostWorker workers[] = {RL_HOST_THREADED, RL_HOST_NONE};
  (void)state;
  for (int i = 0; i < 2; ++i) {
    Stage g;
    begin_at(&g, MONO, "in_left", RATE, workers[i]);
    reed(&g, 0, 4, c_harp().note[3][RL_DRAW]);
    for (int n = 0; n < 20; ++n) {
      rl_host_rest(1);
      play_to(&g, 0.5 + 0.05 * n, 256);
    }
    SAME(g.s.heard_hole, 4);
    end(&g);
  }
}

static void
a_rate_that_the_ear_cannot_hear_is_a_problem(void **const state)
{
  Stage g;
  (void)state;
  begin_at(&g, MONO, "in_left", 384000, RL_HOST_AFTER);
  HAS(scene_ask(&g.s, "problem"), "harp_from: ");
  rl_host_set(g.s.host, "harp_from", 0);
  scene_settle(&g.s);
  TEXT(scene_ask(&g.s, "problem"), "");
  end(&g);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(nothing_is_heard_until_it_is_asked_for),
    cmocka_unit_test(every_hole_is_told_by_port_and_object),
    cmocka_unit_test(any_rate_and_any_block_hears_the_same),
    cmocka_unit_test(two_reeds_together_are_two_notes),
    cmocka_unit_test(a_needle_moves_forty_times_a_second_at_most),
    cmocka_unit_test(another_harp_is_followed_and_the_sound_passes_untouched),
    cmocka_unit_test(switched_off_or_disabled_it_is_over_and_told_once),
    cmocka_unit_test(who_asks_is_told),
    cmocka_unit_test(time_goes_on_when_the_host_activates_again),
    cmocka_unit_test(where_it_began_is_told_while_a_place_is_known),
    cmocka_unit_test(what_is_hit_of_the_plan_and_of_the_targets_is_told),
    cmocka_unit_test(nothing_is_hit_while_the_music_stands),
    cmocka_unit_test(a_note_struck_again_plays_the_next_planned_one),
    cmocka_unit_test(a_note_that_is_shaken_is_not_struck_again),
    cmocka_unit_test(nonsense_on_the_microphone_does_no_harm),
    cmocka_unit_test(a_side_chain_that_shares_its_buffer_with_an_output_is_heard),
    cmocka_unit_test(a_worker_in_a_thread_and_none_at_all_do_the_same),
    cmocka_unit_test(a_rate_that_the_ear_cannot_hear_is_a_problem),
  };
  return cmocka_run_group_tests_name("plugin/played", tests, NULL, NULL);
}
