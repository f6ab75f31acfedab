/* SPDX-License-Identifier: ISC */
#include "core/harmony/harp.h"

#include <assert.h>

static const struct {
  const char *name;
  uint8_t     bend;
  bool        draws, over;
} techniques[] = {
  [RL_BLOW] = {"blow", 0, false, false},        [RL_DRAW] = {"draw", 0, true, false},
  [RL_BLOW_1] = {"blow1", 1, false, false},     [RL_BLOW_2] = {"blow2", 2, false, false},
  [RL_BLOW_3] = {"blow3", 3, false, false},     [RL_DRAW_1] = {"draw1", 1, true, false},
  [RL_DRAW_2] = {"draw2", 2, true, false},      [RL_DRAW_3] = {"draw3", 3, true, false},
  [RL_OVERBLOW] = {"overblow", 0, false, true}, [RL_OVERDRAW] = {"overdraw", 0, true, true},
};

_Static_assert(sizeof(techniques) / sizeof(techniques[0]) == RL_TECHNIQUES,
               "a row for every technique");
_Static_assert(RL_BLOW_3 == RL_BLOW_1 + 2 && RL_DRAW_3 == RL_DRAW_1 + 2,
               "hole_fill() counts up from the first bend");

/* Semitones above hole 1 blow. */
typedef struct {
  const char *name;
  int8_t      blow[RL_HOLES], draw[RL_HOLES];
} Layout;

static const Layout layouts[] = {
  [RL_RICHTER]           = {"Richter",
                            {0, 4, 7, 12, 16, 19, 24, 28, 31, 36},
                            {2, 7, 11, 14, 17, 21, 23, 26, 29, 33}},
  [RL_RAISED_THIRD_BLOW] = {"raised third blow",
                            {0, 4, 9, 12, 16, 19, 24, 28, 31, 36},
                            {2, 7, 11, 14, 17, 21, 23, 26, 29, 33}},
  [RL_COUNTRY]           = {"country",
                            {0, 4, 7, 12, 16, 19, 24, 28, 31, 36},
                            {2, 7, 11, 14, 18, 21, 23, 26, 29, 33}},
  [RL_NATURAL_MINOR]     = {"natural minor",
                            {0, 3, 7, 12, 15, 19, 24, 27, 31, 36},
                            {2, 7, 10, 14, 17, 21, 22, 26, 29, 33}},
  [RL_HARMONIC_MINOR]    = {"harmonic minor",
                            {0, 3, 7, 12, 15, 19, 24, 27, 31, 36},
                            {2, 7, 11, 14, 17, 20, 23, 26, 29, 32}},
  [RL_SOLO]              = {"solo",
                            {0, 4, 7, 12, 12, 16, 19, 24, 24, 28},
                            {2, 5, 9, 11, 14, 17, 21, 23, 26, 29}},
};

_Static_assert(sizeof(layouts) / sizeof(layouts[0]) == RL_TUNINGS, "a row for every tuning");

const char *
rl_technique_name(const RlTechnique technique)
{
  assert(technique < RL_TECHNIQUES);
  return techniques[technique].name;
}

int
rl_technique_bend(const RlTechnique technique)
{
  assert(technique < RL_TECHNIQUES);
  return techniques[technique].bend;
}

bool
rl_technique_draws(const RlTechnique technique)
{
  assert(technique < RL_TECHNIQUES);
  return techniques[technique].draws;
}

const char *
rl_tuning_name(const RlTuning tuning)
{
  assert(tuning < RL_TUNINGS);
  return layouts[tuning].name;
}

enum { MIDI_G3 = 55, CLASS_G = 7 };

/* The notes of one hole from its two reeds. */
static void
hole_fill(uint8_t note[RL_TECHNIQUES], const int blow, const int draw)
{
  const bool draw_is_higher = draw > blow;
  const int  higher         = draw_is_higher ? draw : blow;
  const int  lower          = draw_is_higher ? blow : draw;
  note[RL_BLOW]             = (uint8_t)blow;
  note[RL_DRAW]             = (uint8_t)draw;
  for (int depth = 1; depth <= 3 && higher - depth > lower; ++depth) {
    note[(draw_is_higher ? RL_DRAW_1 : RL_BLOW_1) + depth - 1] = (uint8_t)(higher - depth);
  }
  if (higher > lower) {
    note[draw_is_higher ? RL_OVERBLOW : RL_OVERDRAW] = (uint8_t)(higher + 1);
  }
}

RlHarp
rl_harp_make(const RlHarpChoice choice)
{
  assert(choice.tuning < RL_TUNINGS && choice.key < 12);
  RlHarp              harp   = {0};
  const Layout *const layout = &layouts[choice.tuning];
  const int           base   = MIDI_G3 + rl_pitch_class(choice.key - CLASS_G) + 12 * choice.range;
  for (int hole = 0; hole < RL_HOLES; ++hole) {
    hole_fill(harp.note[hole], base + layout->blow[hole], base + layout->draw[hole]);
  }
  return harp;
}

bool
rl_player_can(const RlPlayer player, const RlTechnique technique)
{
  assert(technique < RL_TECHNIQUES);
  const int deepest = techniques[technique].draws ? player.draw_bends : player.blow_bends;
  return techniques[technique].over ? player.overblows : techniques[technique].bend <= deepest;
}

int
rl_harp_position(const int harp_key, const int song_key)
{
  return rl_pitch_class((song_key - harp_key) * 7) + 1;
}

void
rl_tab_write(const int hole, const RlTechnique technique, RlText *const text)
{
  assert(hole >= 1 && hole <= RL_HOLES && technique < RL_TECHNIQUES);
  rl_text_add(text, techniques[technique].draws ? "-" : "");
  rl_text_add_int(text, hole);
  for (int i = 0; i < techniques[technique].bend; ++i) {
    rl_text_add(text, "'");
  }
  rl_text_add(text, techniques[technique].over ? "o" : "");
}
