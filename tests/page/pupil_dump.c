/* SPDX-License-Identifier: ISC */
/* What the native core says for every harp key, tuning and quality over two roots in a major and a
   minor key, as bytes: the page's core must say the same. Order: see all_lamps() in
   tests/page/lamps.mjs. */
#include "ui/page/pupil.h"

#include <stdio.h>
#include <string.h>

static const RlPlayer players[] = {{3, 3, true}, {1, 0, false}};

static void
name_write(const int quality, char name[RL_QUALITY_NAME_SIZE])
{
  RlText text = rl_text_in(name, RL_QUALITY_NAME_SIZE);
  rl_quality_name(rl_quality(quality), &text);
}

/* With an argument: the names of the qualities, one a line. */
static void
names_print(void)
{
  for (int quality = 0; quality < rl_qualities(); ++quality) {
    char name[RL_QUALITY_NAME_SIZE];
    name_write(quality, name);
    puts(name);
  }
}

static void
chord_set(const char *const root, const int quality)
{
  char *const text = rl_pupil_text();
  char        name[RL_QUALITY_NAME_SIZE];
  name_write(quality, name);
  const size_t one  = strlen(root) + strlen(name);
  RlText       both = rl_text_in(text, (size_t)2 * RL_CHORD_SIZE);
  rl_text_add(&both, root);
  rl_text_add(&both, name);
  rl_text_add(&both, "IV");
  rl_text_add(&both, name);
  rl_pupil_chords((int)one, (int)(2 + strlen(name)), 1, -1);
}

int
main(const int count, char **const words)
{
  (void)words;
  if (count > 1) {
    names_print();
    return 0;
  }
  static const char *const roots[] = {"I", "bVI"};
  for (int minor = 0; minor < 2; ++minor) {
    for (int tonic = 0; tonic < 12; tonic += 5) {
      rl_pupil_key(tonic, minor);
      for (int p = 0; p < 2; ++p) {
        for (int key = 0; key < 12; ++key) {
          for (int tuning = 0; tuning < RL_TUNINGS; ++tuning) {
            rl_pupil_player(key, key % 3 - 1, tuning, players[p].draw_bends, players[p].blow_bends,
                            players[p].overblows);
            for (int quality = 0; quality < rl_qualities(); ++quality) {
              for (int r = 0; r < 2; ++r) {
                chord_set(roots[r], quality);
                fwrite(rl_pupil_lamps(), sizeof(RlPupilLamp), RL_HOLES * RL_TECHNIQUES, stdout);
              }
            }
          }
        }
      }
    }
  }
  return 0;
}
