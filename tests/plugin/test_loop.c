/* SPDX-License-Identifier: ISC */
/* A loop of the host: once it has come round twice, what comes after its last chord is its first.
   Sources: plugin/PORTS.md, "Where the music is"; how hosts loop, core/clock/README.md: Ardour
   divides a block at the loop's end, qtractor goes back at the head of the block after it. The
   chords by hand from the charts. */
#include "scene.h"

#include "core/chart/form.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { BEAT = 24000, BAR = 4 * BEAT };

static const char twelve[] = "key: G\n| I7 | IV7 | I7 | % |\n| IV7 | % | I7 | VI7 |\n"
                             "| ii7 | V7 | I7 IV7 | I7 V7 |\n";

/* A host that loops, or not; frames of the transport. */
typedef struct {
  Scene   s;
  int64_t frame, from, to; /* from == to: no loop */
  int64_t block;
  bool    divides;
} Looper;

static void
looper_block(Looper *const l)
{
  int64_t length = l->block;
  if (l->to > l->from && l->frame >= l->to && l->frame < l->to + l->block) {
    l->frame = l->from + (l->frame - l->to);
  }
  if (l->divides && l->to > l->from && l->frame < l->to && l->frame + length > l->to) {
    length = l->to - l->frame;
  }
  const double beats = (double)l->frame / BEAT;
  const Report r     = rolling_at((int64_t)floor(beats / 4), fmod(beats, 4));
  scene_report(&l->s, 0, &r);
  scene_run(&l->s, (uint32_t)length);
  l->frame += length;
}

/* Plays on until the transport has come to that beat of a bar of the DAW (from 1), a block more. */
static void
looper_to(Looper *const l, const int bar, const double beat)
{
  const int64_t at = llround(((bar - 1) * 4 + beat - 1) * BEAT) + 2 * l->block;
  while (l->frame < at || l->frame >= at + l->block) {
    looper_block(l);
  }
}

static void
locate(Looper *const l, const int bar, const double beat)
{
  l->frame = llround(((bar - 1) * 4 + beat - 1) * BEAT);
}

static void
next_is(const Looper *const l, const char *const chord, const double beats)
{
  const Place *const p    = scene_last(&l->s);
  const double       left = beats - fmod((double)l->frame / BEAT, 1);
  TEXT(p->next, chord);
  if (*chord && fabs(p->to_next - (double)(l->s.now - p->frame) / BEAT - left) > 0.1) {
    fail_msg("%s comes in %g beats, not %g", chord,
             p->to_next - (double)(l->s.now - p->frame) / BEAT, left);
  }
}

static void
begin(Looper *const l, const char *const chart, const int variant, const int64_t from,
      const int64_t to)
{
  static const int64_t blocks[] = {256, 1000, 1024, 4096};
  memset(l, 0, sizeof(*l));
  scene_begin(&l->s);
  scene_chart(&l->s, chart);
  l->block   = blocks[variant % 4];
  l->divides = variant >= 4;
  l->frame = l->from = from;
  l->to              = to;
}

static void
in_nine_to_twelve_bar_twelve_leads_to_bar_nine(void **state)
{
  (void)state;
  for (int variant = 0; variant < 8; ++variant) {
    Looper l;
    begin(&l, twelve, variant, 8 * BAR, 12 * BAR);
    for (int round = 1; round <= 5; ++round) {
      looper_to(&l, 11, 4);
      next_is(&l, "G7", 1);
      looper_to(&l, 12, 1);
      next_is(&l, "D7", 2);
      looper_to(&l, 12, 3);
      next_is(&l, round < 3 ? "G7" : "Am7", 2);
      looper_to(&l, 12, 4);
      next_is(&l, round < 3 ? "G7" : "Am7", 1);
      if (round < 3) {
        assert_true(isnan(scene_last(&l.s)->loop_from) && isnan(scene_last(&l.s)->loop_to));
      } else {
        NEAR(scene_last(&l.s)->loop_from, 8, 1e-3); /* bars of the form */
        NEAR(scene_last(&l.s)->loop_to, 12, 1e-3);
      }
      looper_to(&l, 9, 1);
      next_is(&l, "D7", 4);
    }
    looper_to(&l, 12, 2); /* the loop is switched off, and the music goes on */
    l.to = l.from;
    looper_to(&l, 12, 4);
    next_is(&l, "Am7", 1); /* which nobody can know yet */
    looper_to(&l, 13, 1);
    next_is(&l, "C7", 4);
    locate(&l, 12, 1);
    looper_to(&l, 12, 4);
    next_is(&l, "G7", 1);
    scene_end(&l.s);
  }
}

/* Left by a locate, or by a stop and a locate, it is forgotten at once; stopped inside it is not.
 */
static void
a_loop_that_is_left_is_forgotten_at_once(void **state)
{
  (void)state;
  for (int variant = 0; variant < 8; ++variant) {
    Looper l;
    begin(&l, twelve, variant, 8 * BAR, 12 * BAR);
    for (int round = 0; round < 3; ++round) {
      looper_to(&l, 12, 4);
      looper_to(&l, 9, 2);
    }
    looper_to(&l, 12, 4);
    next_is(&l, "Am7", 1);
    const Report stopped = parked_at(11, 3.5);
    scene_report(&l.s, 0, &stopped);
    scene_run(&l.s, 256);
    TEXT(scene_last(&l.s)->next, "Am7");
    const Report away = parked_at(1, 0);
    scene_report(&l.s, 0, &away);
    scene_run(&l.s, 256);
    const Report back = parked_at(11, 3.5);
    scene_report(&l.s, 0, &back);
    scene_run(&l.s, 256);
    TEXT(scene_last(&l.s)->next, "G7");
    scene_end(&l.s);
  }
}

/* | I7 | % |: nothing comes; a loop of half a bar that begins and ends inside bars; one where the
   first chord is the one that sounds, so that the next is the one behind it. */
static void
loops_of_every_shape(void **state)
{
  static const struct {
    double      from, to; /* beats */
    int         bar;      /* asked on that bar and beat */
    double      beat;
    const char *next;
    double      in;
  } loops[] = {{8, 16, 4, 3, "", 0},      {8, 16, 3, 1, "", 0},    {42, 46, 12, 2, "C7", 1},
               {42, 46, 11, 4, "G7", 1},  {8, 20, 5, 2, "G7", 3},  {24, 32, 8, 1, "G7", 4},
               {0, 12, 3, 3, "C7", 6},    {44, 52, 1, 3, "D7", 4}, {0, 48, 12, 4, "G7", 1},
               {32, 48, 12, 3, "Am7", 2}, {44, 48, 12, 4, "G7", 1}};
  (void)state;
  for (size_t i = 0; i < COUNT(loops); ++i) {
    for (int variant = 0; variant < 8; ++variant) {
      Looper    l;
      const int bar = loops[i].bar + (loops[i].bar * 4 <= loops[i].from ? 12 : 0);
      begin(&l, twelve, variant, llround(loops[i].from * BEAT), llround(loops[i].to * BEAT));
      for (int round = 0; round < 3; ++round) {
        looper_to(&l, bar, loops[i].beat);
        for (int64_t before = l.frame - 1; l.frame > before; before = l.frame - 1) {
          looper_block(&l); /* until it goes back */
          if (l.frame <= before) {
            break;
          }
        }
      }
      looper_to(&l, bar, loops[i].beat);
      next_is(&l, loops[i].next, loops[i].in);
      scene_end(&l.s);
    }
  }
}

/* By beats, in a chart with a short bar: | I7 | IV7 | 2/4 IV7 | 4/4 I7 V7 |, 14 quarters a chorus.
 */
static void
counted_by_beats_a_loop_is_seen_too(void **state)
{
  (void)state;
  for (int variant = 0; variant < 8; ++variant) {
    Looper l;
    begin(&l, "key: A\n| I7 | IV7 | 2/4 IV7 | 4/4 I7 V7 |\n", variant, 4 * BEAT, 14 * BEAT);
    rl_host_set(l.s.host, "count_by", 1);
    l.frame = 0;
    for (int round = 1; round <= 4; ++round) {
      looper_to(&l, 4, 1); /* beat 12: V7, the last two beats */
      next_is(&l, round < 3 ? "A7" : "D7", 2);
      looper_to(&l, 2, 1);
      next_is(&l, "A7", 6);
    }
    scene_end(&l.s);
  }
}

/* Names and degrees of up to twenty letters, a take armed, bar 1 moved: the Place still says where
   the loop is and bar 1 lies (scene.c: and stays below 700 bytes). */
static void
the_longest_names_leave_room_for_loop_and_bar_one(void **state)
{
  (void)state;
  Looper l;
  begin(&l, "key: Ab\n| bVII7(b9,#9,#11,b13)/bIII | bIII7(b9,#9,#11,b13)/bVII | I | IV |\n", 2, 0,
        0);
  locate(&l, 3, 1);
  looper_block(&l);
  rl_host_set(l.s.host, "bar_one", 1);
  rl_host_set(l.s.host, "capture", 1);
  l.from = 2 * BAR;
  l.to   = 4 * BAR;
  for (int round = 0; round < 3; ++round) {
    looper_to(&l, 4, 2);
    looper_to(&l, 3, 1);
  }
  const Place *const p = scene_last(&l.s);
  TEXT(p->now, "Gb7b9#9#11b13/Cb");
  TEXT(p->next_degree, "bIII7b9#9#11b13/bVII");
  assert_true(p->taking > 0);
  NEAR(p->bar_one_at, 3, 1e-6);
  NEAR(p->loop_from, 0, 1e-3);
  NEAR(p->loop_to, 2, 1e-3);
  scene_end(&l.s);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(in_nine_to_twelve_bar_twelve_leads_to_bar_nine),
    cmocka_unit_test(a_loop_that_is_left_is_forgotten_at_once),
    cmocka_unit_test(loops_of_every_shape),
    cmocka_unit_test(counted_by_beats_a_loop_is_seen_too),
    cmocka_unit_test(the_longest_names_leave_room_for_loop_and_bar_one),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
