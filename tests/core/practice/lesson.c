/* SPDX-License-Identifier: ISC */
#include "lesson.h"

#include "core/arrange/plan.h"
#include "core/chart/chart.h"

#include <stdlib.h>
#include <string.h>

static unsigned state;

/* xorshift32 (Marsaglia, "Xorshift RNGs", 2003). */
static unsigned
chance(const unsigned most)
{
  state ^= state << 13;
  state ^= state >> 17;
  state ^= state << 5;
  return state % most;
}

/* Thirty-four bars of two chords each, but for the last: 67 chords, none the same as the one
   before, across the end either. */
static void
chart_write(char *const chart, const size_t size)
{
  static const char *const chords[] = {"I7", "IV7", "vi7", "II7", "V7", "iii7", "ii7", "bVII7"};
  RlText                   text     = rl_text_in(chart, size);
  int                      n        = 0;
  rl_text_add(&text, "title: Rope Yard Lesson\nkey: G\nmeter: 4/4\n");
  for (int bar = 0; bar < 34; ++bar) {
    rl_text_add(&text, "| ");
    rl_text_add(&text, chords[n]);
    n = (n + 1 + (int)chance(3)) % 8;
    if (bar < 33) {
      rl_text_add(&text, " ");
      rl_text_add(&text, chords[n]);
      n = (n + 1 + (int)chance(3)) % 8;
    }
    n += bar == 32 && n == 0; /* the last is not the first again */
    rl_text_add(&text, bar % 4 == 3 || bar == 33 ? " |\n" : " ");
  }
}

static void
song_make(Lesson *const l)
{
  static RlTargetLineWorkspace scratch;
  static RlLaneWorkspace       room;
  static RlPhrase              phrase;
  static const char            plan[] = "bar 3: Knot\nbar 12: Knot\nbar 20: Knot\n\n"
                                        "X:1\nT:Knot\nM:4/4\nL:1/4\nK:G\n\"G7\"z B z d|\n";
  static char                  chart[4096];
  RlChartError                 error;
  RlPlanError                  plan_error;
  chart_write(chart, sizeof(chart));
  if (!rl_chart_read(rl_slice(chart), &l->form, &error) ||
      !rl_plan_read(rl_slice(plan), &phrase, &l->plan, &plan_error)) {
    abort();
  }
  l->key    = l->form.key;
  l->choice = (RlHarpChoice){0};
  l->player = (RlPlayer){3, 3, false};
  l->harp   = rl_harp_make(l->choice);
  rl_target_line_find(&l->form, l->key, &l->harp, l->player, &scratch, &l->line);
  rl_lane_make(&l->plan, &l->form, l->key, l->choice, l->player, &room, &l->lane);
}

/* What is done about a chord: where its note begins, in beats from it, and how long it lasts. */
static const struct {
  double at, lasts;
  bool   target; /* the note to land on, else another one */
  bool   hit, strong, timed;
} ways[] = {
  {0, 0.5, true, true, true, true},      {0.04, 0.6, true, true, true, true},
  {-0.2, 0.3, true, true, true, true},   {0.45, 0.3, true, true, false, false},
  {-0.7, 1.1, true, true, false, false}, {-0.7, 0.75, true, false, false, false},
  {0.6, 0.2, true, false, false, false}, {0, 0.5, false, false, true, true},
  {0.1, 0.3, false, false, true, true},  {0, 0, true, false, false, false},
};

enum { WAYS = sizeof(ways) / sizeof(ways[0]), SILENT = WAYS - 1 };

static RlTarget
other_note(const Lesson *const l, const uint8_t not )
{
  RlTarget t = {0};
  do {
    t.hole      = (uint8_t)(1 + chance(RL_HOLES));
    t.technique = (uint8_t)chance(RL_TECHNIQUES);
    t.note      = l->harp.note[t.hole - 1][t.technique];
  } while (!t.note || t.note == not || !rl_player_can(l->player, (RlTechnique)t.technique));
  return t;
}

static RlRole
role_over(const Lesson *const l, const int change, const uint8_t note)
{
  const RlHarmony now = rl_harmony_of(rl_form_chord(&l->form, change), l->key);
  return rl_worth_of(note, &now, l->key).role;
}

static void
note_add(Lesson *const l, const double at, const double lasts, const RlTarget t, const double tempo)
{
  l->note[l->notes++] = (RlHeardNote){.at        = at,
                                      .ends      = at + lasts,
                                      .tempo     = (float)tempo,
                                      .cents     = (float)((int)chance(41) - 20),
                                      .sure      = 1,
                                      .hole      = t.hole,
                                      .technique = t.technique,
                                      .note      = t.note};
}

static bool
bent(const uint8_t how)
{
  return how >= RL_BLOW_1 && how <= RL_DRAW_3;
}

/* The phrases lie on beats 2 and 4, where no chord comes: played, late, or not at all. */
static void
planned_play(Lesson *const l, const int chorus, const int bar, const double tempo)
{
  const double start = chorus * lesson_chorus(l) + 4.0 * bar;
  for (int i = 0; i < l->lane.notes; ++i) {
    const RlLaneNote *const n    = &l->lane.note[i];
    const double            at   = start + (double)(n->at % (4 * RL_TICKS)) / RL_TICKS;
    const unsigned          way  = chance(3);
    const RlTarget          t    = {n->tab.hole, n->tab.technique, 0, n->tab.note};
    RlTally *const          told = &l->truth[chorus];
    if (n->at / (4 * RL_TICKS) != bar) {
      continue;
    }
    ++told->planned;
    if (way < 2) { /* in time, or a third of a beat late */
      const int at_now = l->notes;
      note_add(l, at + (way ? 0.34 : 0.05), 0.2, t, tempo);
      told->planned_hit += way == 0;
      told->timed += way == 0;
      told->behind_beats += way == 0 ? 0.05 : 0;
      ++told->notes;
      ++told->role[role_over(l, 2 * bar + (at - start >= 2), t.note)];
      told->bends += bent(t.technique);
      told->bend_cents += bent(t.technique) ? (double)l->note[at_now].cents : 0;
    }
  }
}

static int
by_time(const void *const a, const void *const b)
{
  const double x = ((const RlHeardNote *)a)->at;
  const double y = ((const RlHeardNote *)b)->at;
  return (x > y) - (x < y);
}

static void
chord_play(Lesson *const l, const int chorus, const int change, const double tempo)
{
  const RlChange *const c    = &l->form.change[change];
  const double          at   = chorus * lesson_chorus(l) + 4.0 * c->bar + c->beat;
  const bool            edge = change == 0 || change == l->form.changes - 1;
  unsigned              way  = chance(WAYS);
  way                        = edge && ways[way].at < 0 ? 0 : way; /* each chorus by itself */
  const RlTarget want        = l->line.target[change];
  const RlTarget t           = ways[way].target ? want : other_note(l, want.note);
  const bool     over        = ways[way].at >= -0.1 || ways[way].at > -0.25;
  RlTally *const told        = &l->truth[chorus];
  const int      here        = ways[way].at + 0.125 >= 0 ? change : change - 1;
  ++told->targets;
  told->targets_hit += ways[way].hit;
  if (way == SILENT) {
    return;
  }
  note_add(l, at + ways[way].at, ways[way].lasts, t, tempo);
  ++told->notes;
  ++told->role[role_over(l, here, t.note)];
  told->strong += ways[way].strong;
  told->strong_chord += ways[way].strong && role_over(l, change, t.note) >= RL_ROLE_CHORD;
  told->timed += ways[way].timed && over;
  told->behind_beats += ways[way].timed ? ways[way].at : 0;
  told->bends += bent(t.technique);
  told->bend_cents += bent(t.technique) ? (double)l->note[l->notes - 1].cents : 0;
}

double
lesson_chorus(const Lesson *const l)
{
  return l->form.starts[RL_AXIS_QUARTERS][l->form.bars];
}

void
lesson_make(Lesson *const l, const unsigned seed, const double tempo)
{
  memset(l, 0, sizeof(*l));
  state = seed * 2654435761U + 1;
  song_make(l);
  for (int chorus = 0; chorus < LESSON_CHORUSES; ++chorus) {
    RlTally *const told = &l->truth[chorus];
    for (int change = 0; change < l->form.changes; ++change) {
      chord_play(l, chorus, change, tempo);
    }
    for (int bar = 0; bar < l->form.bars; ++bar) {
      planned_play(l, chorus, bar, tempo);
    }
    told->bars = l->form.bars;
    told->behind_beats /= told->timed ? told->timed : 1;
    told->behind_ms = told->behind_beats * 60000 / tempo;
    told->bend_cents /= told->bends ? told->bends : 1;
  }
  qsort(l->note, (size_t)l->notes, sizeof(l->note[0]), by_time);
}
