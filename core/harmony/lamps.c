/* SPDX-License-Identifier: ISC */
#include "core/harmony/lamps.h"

#include <assert.h>

static const struct {
  const char *name;
  float       brightness;
  RlShow      from; /* shown from that level on */
} roles[] = {
  [RL_ROLE_OFF]     = {"off", 0.0F, RL_SHOW_TARGETS},
  [RL_ROLE_REACH]   = {"reach", 0.0F, RL_SHOW_TARGETS},
  [RL_ROLE_PASS]    = {"pass", 0.2F, RL_SHOW_ALL},
  [RL_ROLE_SAFE]    = {"safe", 0.5F, RL_SHOW_SAFE},
  [RL_ROLE_BLUE]    = {"blue", 0.6F, RL_SHOW_SAFE},
  [RL_ROLE_CHORD]   = {"chord", 0.7F, RL_SHOW_CHORD},
  [RL_ROLE_FIFTH]   = {"fifth", 0.7F, RL_SHOW_CHORD},
  [RL_ROLE_ROOT]    = {"root", 0.9F, RL_SHOW_CHORD},
  [RL_ROLE_SEVENTH] = {"seventh", 1.0F, RL_SHOW_CHORD},
  [RL_ROLE_THIRD]   = {"third", 1.0F, RL_SHOW_CHORD},
};

_Static_assert(sizeof(roles) / sizeof(roles[0]) == RL_ROLES, "a row for every role");

static const float rubbing_brightness = 0.3F;

static const RlRole role_of_function[] = {
  [RL_FUNCTION_ROOT] = RL_ROLE_ROOT,   [RL_FUNCTION_THIRD] = RL_ROLE_THIRD,
  [RL_FUNCTION_FIFTH] = RL_ROLE_FIFTH, [RL_FUNCTION_SEVENTH] = RL_ROLE_SEVENTH,
  [RL_FUNCTION_OTHER] = RL_ROLE_CHORD,
};

_Static_assert(sizeof(role_of_function) / sizeof(role_of_function[0]) == RL_FUNCTION_OTHER + 1,
               "a row for every function");

/* Flat 3, flat 5, flat 7 of the key; in minor the flat 3 and flat 7 belong to the scale. */
enum { BLUE_IN_MAJOR = 1U << 3 | 1U << 6 | 1U << 10, BLUE_IN_MINOR = 1U << 6 };

const char *
rl_role_name(const RlRole role)
{
  assert(role < RL_ROLES);
  return roles[role].name;
}

/* Does a held note rub: a semitone above the chord's root, third, fifth or seventh, or a semitone
   below its major seventh? */
static bool
rubs(const RlHarmony *const now, const int semitones)
{
  const RlDegree below = rl_quality_tone(now->quality, semitones - 1);
  const bool     above = below != RL_DEGREES && rl_degree_function(below) != RL_FUNCTION_OTHER;
  return above || rl_quality_tone(now->quality, semitones + 1) == RL_DEGREE_7;
}

/* In the chord's scale, not a semitone above a tone of the chord, and not the third that a sus
   chord holds back. */
static bool
safe(const RlHarmony *const now, const int semitones)
{
  const bool sus = rl_quality_tone(now->quality, 4) == RL_DEGREES &&
                   (rl_quality_tone(now->quality, 5) == RL_DEGREE_4 ||
                    rl_quality_tone(now->quality, 2) == RL_DEGREE_2);
  return rl_class_set_has(now->scale, semitones) &&
         rl_quality_tone(now->quality, semitones - 1) == RL_DEGREES && !(sus && semitones == 4);
}

static RlWorth
worth(const RlRole role, const RlDegree degree, const bool blue)
{
  return (RlWorth){role, degree, roles[role].brightness, blue};
}

RlWorth
rl_worth_of(const int note, const RlHarmony *const now, const RlKey key)
{
  const int      from_key  = rl_pitch_class(note - rl_spelling_class(key.tonic));
  const bool     blue      = rl_class_set_has(key.minor ? BLUE_IN_MINOR : BLUE_IN_MAJOR, from_key);
  const bool     in_blues  = rl_class_set_has(rl_scale_blues, from_key);
  const int      from_root = now->sounding ? rl_pitch_class(note - rl_harmony_root(now)) : from_key;
  const RlDegree plain     = blue && from_root == 6 ? RL_DEGREE_FLAT_5 : rl_degree_plain(from_root);
  if (!now->sounding) {
    return worth(in_blues ? RL_ROLE_PASS : RL_ROLE_OFF, plain, blue);
  }
  const RlDegree tone = rl_quality_tone(now->quality, from_root);
  if (tone != RL_DEGREES) {
    return worth(role_of_function[rl_degree_function(tone)], tone, blue);
  }
  if (blue) {
    RlWorth lamp    = worth(RL_ROLE_BLUE, plain, true);
    lamp.brightness = rubs(now, from_root) ? rubbing_brightness : lamp.brightness;
    return lamp;
  }
  if (safe(now, from_root)) {
    return worth(RL_ROLE_SAFE, plain, false);
  }
  const RlClassSet own = key.minor ? rl_scale_natural_minor : rl_scale_major;
  const bool       pass =
    rl_class_set_has(now->scale, from_root) || in_blues || rl_class_set_has(own, from_key);
  return worth(pass ? RL_ROLE_PASS : RL_ROLE_OFF, plain, false);
}

RlLamps
rl_lamps_light(const RlHarp *const harp, const RlPlayer player, const RlHarmony *const now,
               const RlKey key)
{
  RlLamps lamps = {0};
  for (int hole = 0; hole < RL_HOLES; ++hole) {
    for (int how = 0; how < RL_TECHNIQUES; ++how) {
      RlLamp *const lamp = &lamps.lamp[hole][how];
      lamp->note         = harp->note[hole][how];
      if (!lamp->note) {
        continue;
      }
      lamp->worth = rl_worth_of(lamp->note, now, key);
      if (!rl_player_can(player, (RlTechnique)how)) {
        lamp->worth.role       = RL_ROLE_REACH;
        lamp->worth.brightness = roles[RL_ROLE_REACH].brightness;
      }
    }
  }
  return lamps;
}

const RlWorth rl_worth_out = {RL_ROLE_OFF, RL_DEGREES, 0, false};

RlWorth
rl_worth_shown(const RlWorth worth, const RlShow show, const bool target)
{
  return target || show >= roles[worth.role].from ? worth : rl_worth_out;
}

void
rl_lamps_show(RlLamps *const lamps, const RlShow show, const int hole, const int technique)
{
  for (int h = 0; show < RL_SHOW_ALL && h < RL_HOLES; ++h) {
    for (int how = 0; how < RL_TECHNIQUES; ++how) {
      RlWorth *const worth = &lamps->lamp[h][how].worth;
      *worth               = rl_worth_shown(*worth, show, h + 1 == hole && how == technique);
    }
  }
}
