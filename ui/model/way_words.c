/* SPDX-License-Identifier: ISC */
#include "ui/model/way_words.h"

#include "ui/model/fields.h"
#include "ui/model/music_signs.h"

static void
octaves_write(const int by, RlText *const text)
{
  const int far = by < 0 ? -by : by;
  if (far == 1) {
    rl_text_add(text, "an octave ");
  } else {
    rl_text_add_int(text, far);
    rl_text_add(text, " octaves ");
  }
  rl_text_add(text, by < 0 ? "lower" : "higher");
}

static void
harp_write(const RlWay *const way, const int tonic, RlText *const text)
{
  char   key[RL_NAME_SIZE];
  RlText name = rl_text_in(key, sizeof(key));
  rl_key_write(rl_key_named(way->harp.key, false), &name);
  rl_text_add(text, way->kind == RL_WAY_HARP ? "your harp in " : "a harp in ");
  rl_music_signs(key, text);
  rl_text_add(text, way->harp.range < 0 ? ", low" : way->harp.range > 0 ? ", high" : "");
  if (way->kind == RL_WAY_HARP && way->harp.tuning != RL_RICHTER) {
    rl_text_add(text, ", ");
    rl_text_add(text, rl_tuning_name(way->harp.tuning));
  }
  rl_text_add(text, ", ");
  rl_text_add(text, rl_position_name(rl_harp_position(way->harp.key, tonic)));
  rl_text_add(text, " position");
  if (way->octaves) {
    rl_text_add(text, ", ");
    octaves_write(way->octaves, text);
  }
}

void
rl_way_words(const RlWay *const way, const int tonic, RlText *const text)
{
  switch (way->kind) {
  case RL_WAY_AS_IT_IS:
    rl_text_add(text, "as it is: it sits on this harp");
    break;
  case RL_WAY_OCTAVE:
    octaves_write(way->octaves, text);
    break;
  case RL_WAY_NEAREST:
    rl_text_add(text, "the nearest notes");
    break;
  default:
    harp_write(way, tonic, text);
    break;
  }
}

static void
count_write(const int count, const char *const one, const char *const more, RlText *const text)
{
  if (count) {
    rl_text_add(text, ", ");
    rl_text_add_int(text, count);
    rl_text_add(text, count == 1 ? one : more);
  }
}

void
rl_way_cost_words(const RlWay *const way, RlText *const text)
{
  const int octaves = way->octaves < 0 ? -way->octaves : way->octaves;
  const int cost    = way->kind == RL_WAY_NEAREST ? way->cost : way->cost - octaves * RL_TAB_OCTAVE;
  rl_text_add(text, rl_difficulty_name(rl_difficulty(cost, way->onsets)));
  rl_text_add(text, way->bends || way->overs ? "" : ", no bends");
  count_write(way->bends, " bend", " bends", text);
  count_write(way->overs, " overblow", " overblows", text);
  count_write(way->changed, " note changed", " notes changed", text);
  count_write(way->left_out, " left out", " left out", text);
  count_write(way->moved, " in another octave", " in another octave", text);
}
