/* SPDX-License-Identifier: ISC */
#include "tests/core/arrange/overlaps.h"

#include <assert.h>
#include <stdlib.h>

enum {
  TURNS_MAX = 8192,
  AFTER     = 24 /* choruses beyond those asked for that may reach into them */
};

/* A phrase in one chorus. */
typedef struct {
  int    planned, chorus;
  double place, begins; /* its bar and beat, and its first note */
  bool   particular, ending, out;
} Turn;

static Turn turn[TURNS_MAX];
static int  turns;

/* ---- what is to be heard ---- */

static double
whole(const RlForm *const form)
{
  return form->starts[RL_AXIS_QUARTERS][form->bars] * RL_TICKS;
}

/* Where the first note of a phrase lies along the form; false without one. */
static bool
first_note(const RlLane *const lane, const int planned, double *const at)
{
  bool any = false;
  for (int i = 0; i < lane->notes; ++i) {
    if (lane->note[i].planned == planned && (!any || lane->note[i].at < *at)) {
      *at = lane->note[i].at;
      any = true;
    }
  }
  return any;
}

static void
turns_list(const RlPlan *const plan, const RlForm *const form, const RlLane *const lane,
           const int choruses)
{
  turns = 0;
  for (int i = 0; i < plan->planned_count; ++i) {
    const RlPlanned *const p    = &plan->planned[i];
    double                 from = 0;
    if (!first_note(lane, i, &from)) {
      continue;
    }
    const bool   ending = p->bar > form->bars;
    const double beat   = p->beat / 1000.0 * 4 / form->bar[p->bar - 1].unit;
    const double place  = (form->starts[RL_AXIS_QUARTERS][p->bar - 1] + beat) * RL_TICKS;
    for (int c = 1; c <= choruses; ++c) {
      const bool named  = c <= 32 && p->choruses >> (c - 1) & 1U;
      const bool begins = ending ? c == form->choruses : !p->choruses || named;
      if (begins) {
        const double before = (c - 1) * whole(form);
        assert(turns < TURNS_MAX);
        turn[turns++] =
          (Turn){i, c, place + before, from + before, p->choruses || ending, ending, false};
      }
    }
  }
}

/* Of two at once: is `a` silent because of `b`? */
static bool
yields(const Turn *const a, const Turn *const b)
{
  if (a->particular != b->particular) {
    return b->particular;
  }
  return b->planned > a->planned;
}

/* On one bar and beat one phrase is played. */
static void
places_settle(const RlPlan *const plan)
{
  for (int i = 0; i < turns; ++i) {
    for (int k = 0; k < turns; ++k) {
      const RlPlanned *const p = &plan->planned[turn[i].planned];
      const RlPlanned *const q = &plan->planned[turn[k].planned];
      if (i != k && turn[i].chorus == turn[k].chorus && p->bar == q->bar && p->beat == q->beat) {
        const bool particular = (p->choruses != 0) != (q->choruses != 0);
        turn[i].out           = turn[i].out || (particular ? q->choruses != 0 : q > p);
      }
    }
  }
}

static const double never = -1e300;

/* When is a note of that turn cut, after `at`? `never`: it is not even begun. */
static double
cut_of(const Turn *const own, const double at, const double end)
{
  double cut = end;
  for (int k = 0; k < turns; ++k) {
    const Turn *const other = &turn[k];
    if (other == own || other->out) {
      continue;
    }
    if (other->begins == own->begins ? yields(own, other)
                                     : other->begins > own->begins && other->begins <= at) {
      return never;
    }
    if (other->begins > at && other->begins < cut) {
      cut = other->begins;
    }
  }
  return at < end ? cut : never;
}

static int
in_order(const void *const a, const void *const b)
{
  const SongNote *const one = (const SongNote *)a;
  const SongNote *const two = (const SongNote *)b;
  return one->at != two->at ? (one->at > two->at) - (one->at < two->at) : one->index - two->index;
}

void
song_play(const RlPlan *const plan, const RlForm *const form, const RlLane *const lane,
          const int choruses, Song *const song)
{
  const double *const starts = form->starts[RL_AXIS_QUARTERS];
  const double        tail   = starts[form->bars + form->ending_bars] - starts[form->bars];
  const double        end = form->choruses ? form->choruses * whole(form) + tail * RL_TICKS : 1e300;
  const int           all = choruses + AFTER;
  turns_list(plan, form, lane, form->choruses && form->choruses < all ? form->choruses : all);
  places_settle(plan);
  song->count = song->lost = 0;
  for (int t = 0; t < turns; ++t) {
    const double before = (turn[t].chorus - 1) * whole(form);
    for (int i = 0; i < lane->notes; ++i) {
      const RlLaneNote *const n   = &lane->note[i];
      const double            at  = n->at + before;
      const bool              own = n->planned == turn[t].planned;
      if (!own) {
        continue;
      }
      const double cut   = turn[t].out ? never : cut_of(&turn[t], at, end);
      const bool   heard = cut > at;
      song->lost += !heard && turn[t].chorus <= choruses;
      if (heard && (choruses == form->choruses || at < choruses * whole(form))) {
        assert(song->count < SONG_NOTES_MAX);
        const double lasts        = at + n->lasts < cut ? n->lasts : cut - at;
        song->note[song->count++] = (SongNote){i, turn[t].chorus, at, lasts};
      }
    }
  }
  qsort(song->note, (size_t)song->count, sizeof(*song->note), in_order);
}

/* ---- songs by chance ---- */

static uint32_t state;

static int
chance(const int below)
{
  state = state * 1664525U + 1013904223U;
  return (int)((state >> 16U) % (uint32_t)below);
}

static void
chart_write(RlText *const chart)
{
  static const char *const meters[] = {"4/4", "3/4", "2/4", "6/8"};
  static const char *const chords[] = {"| I7 ", "| IV7 ", "| V7 ", "| I7 IV7 "};
  rl_text_add(chart, "key: Bb\nmeter: ");
  const int meter = chance(4);
  rl_text_add(chart, meters[meter]);
  const int choruses = chance(5);
  if (choruses) {
    rl_text_add(chart, "\nchoruses: ");
    rl_text_add_int(chart, choruses);
  }
  rl_text_add(chart, chance(2) ? "\nlead-in: 2\n" : "\n");
  for (int bars = 1 + chance(5); bars; --bars) {
    rl_text_add(chart, chords[chance(meter == 0 || meter == 2 ? 4 : 3)]);
  }
  rl_text_add(chart, "|\n");
  if (choruses && chance(2)) {
    rl_text_add(chart, "[ending]\n| V7 | I7 |\n");
  }
}

static void
choruses_write(RlText *const plan)
{
  static const char *const sets[] = {", chorus 1",     ", chorus 2",      ", choruses 1 3",
                                     ", choruses 2 4", ", choruses 2 32", ", choruses 3 31 32"};
  rl_text_add(plan, chance(5) < 2 ? sets[chance(6)] : "");
}

/* Pickups from an eighth to a whole bar, chords, rests, held notes; one that is longer than most of
   the forms. */
static const char tunes[] = "\nX:1\nT:Hawser\nM:4/4\nL:1/8\nK:Bb\n\"Bb7\"B2 d2 f2 d2|\n"
                            "\nX:2\nT:Slipway\nM:4/4\nL:1/8\nK:Bb\nFG|\"Bb7\"B8-|B4 z4|\n"
                            "\nX:3\nT:Long Tow\nM:4/4\nL:1/8\nK:Bb\nF|\"Bb7\"B2 d2 f2 d2|\"Eb7\"e2 "
                            "g2 b2 g2|\"F7\"f2 c2 A2 F2|"
                            "\"Bb7\"B2 d2 f2 d2|\"Eb7\"e4 g4|\"Bb7\"B8-|B8|\n"
                            "\nX:4\nT:Run Up\nM:4/4\nL:1/8\nK:Bb\nBcde fgab|\"Bb7\"[df]4 z2 B2|\n"
                            "\nX:5\nT:Bollard\nM:2/4\nL:1/8\nK:Bb\n\"Bb7\"z2 B2|\n";

void
overlaps_write(const uint32_t seed, RlText *const chart, RlText *const plan)
{
  static const char *const titles[] = {"Hawser", "Slipway", "Long Tow", "Run Up", "Bollard"};
  static const char *const beats[]  = {"", "", " beat 2", " beat 1.5"};
  state                             = seed * 2654435761U + 7;
  chart_write(chart);
  for (int lines = 1 + chance(7); lines; --lines) {
    rl_text_add(plan, "bar ");
    rl_text_add_int(plan, 1 + chance(6));
    rl_text_add(plan, beats[chance(4)]);
    rl_text_add(plan, ": ");
    rl_text_add(plan, titles[chance(5)]);
    rl_text_add(plan, chance(3) ? "" : ", as it is");
    choruses_write(plan);
    rl_text_add(plan, "\n");
  }
  rl_text_add(plan, tunes);
}
