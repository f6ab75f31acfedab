/* SPDX-License-Identifier: ISC */
/* Qualities printed: a base, then its alterations. */
#include "core/harmony/quality_text.h"

/* The bases, as they are printed. Of two that need as many alterations the first is taken. */
static const struct {
  const char *name;
  RlQuality   tones;
} bases[] = {
  {"", MAJOR},
  {"m", MINOR},
  {"7", SEVENTH},
  {"maj7", MAJOR_7},
  {"m7", MINOR_7},
  {"mMaj7", MINOR | BIT(7)},
  {"6", MAJOR | BIT(6)},
  {"m6", MINOR | BIT(6)},
  {"6/9", MAJOR | BIT(6) | BIT(9)},
  {"m6/9", MINOR | BIT(6) | BIT(9)},
  {"9", SEVENTH | BIT(9)},
  {"m9", MINOR_7 | BIT(9)},
  {"maj9", MAJOR_7 | BIT(9)},
  {"mMaj9", MINOR | BIT(7) | BIT(9)},
  {"11", BIT(ROOT) | BIT(5) | BIT(FLAT_7) | BIT(9) | BIT(11)},
  {"m11", MINOR_7 | BIT(9) | BIT(11)},
  {"13", SEVENTH | BIT(9) | BIT(13)},
  {"m13", MINOR_7 | BIT(9) | BIT(13)},
  {"maj13", MAJOR_7 | BIT(9) | BIT(13)},
  {"dim", DIM},
  {"dim7", DIM | BIT(DOUBLE_FLAT_7)},
  {"aug", AUG},
  {"5", BIT(ROOT) | BIT(5)},
};

const Alteration rl_alterations[ALTERATIONS] = {
  [SUS_2]    = {"sus2", BIT(2), THIRDS, BIT(3)},
  [SUS_4]    = {"sus4", BIT(4), THIRDS, BIT(3)},
  [FLAT_5]   = {"b5", BIT(FLAT_5), BIT(5), 0},
  [SHARP_5]  = {"#5", BIT(SHARP_5), BIT(5), 0},
  [FLAT_9]   = {"b9", BIT(FLAT_9), BIT(9), 0},
  [SHARP_9]  = {"#9", BIT(SHARP_9), BIT(9), 0},
  [SHARP_11] = {"#11", BIT(SHARP_11), BIT(11), 0},
  [FLAT_13]  = {"b13", BIT(FLAT_13), BIT(13), 0},
  [ADD_9]    = {"add9", BIT(9), 0, 0},
  [ADD_11]   = {"add11", BIT(11), 0, 0},
  [ADD_13]   = {"add13", BIT(13), 0, 0},
  [NO_3]     = {"no3", 0, THIRDS, BIT(3) | BIT(FLAT_3)},
  [NO_5]     = {"no5", 0, FIFTHS, BIT(5)},
};

enum { BASES = sizeof(bases) / sizeof(bases[0]) };

_Static_assert(ALTERATIONS <= 16, "RlQualitySpelling has a bit for each");
_Static_assert(BASES < UINT8_MAX, "RlQualitySpelling.base holds BASES + 1 too");

enum { BASE_ALT = BASES + 1 /* `7alt`, RlQualitySpelling.base */ };

/* Which alterations make a quality of a base; `count` negative: none do. */
typedef struct {
  int      count;
  unsigned altered;
} Spelled;

static Spelled
spell(const RlQuality quality, const RlQuality base)
{
  Spelled   spelled = {0, 0};
  RlQuality made    = base;
  for (int i = 0; i < ALTERATIONS; ++i) {
    const Alteration *const a       = &rl_alterations[i];
    const bool              adds    = a->adds && (quality & a->adds) && !(base & a->adds);
    const bool              removes = !a->adds && !(quality & a->replaces);
    if ((adds || removes) && (!a->needs || (made & a->needs))) {
      made = (made & ~a->replaces) | a->adds;
      spelled.altered |= 1U << i;
      ++spelled.count;
    }
  }
  return made == quality ? spelled : (Spelled){-1, 0};
}

/* An accidental right behind a root letter would be read as the root's. */
static void
alterations_write(const unsigned altered, bool bare, RlText *const text)
{
  for (int i = 0; i < ALTERATIONS && altered >> i; ++i) {
    const char *const name = rl_alterations[i].name;
    if (!((altered >> i) & 1)) {
      continue;
    }
    const bool guard = bare && (name[0] == 'b' || name[0] == '#');
    rl_text_add(text, guard ? "(" : "");
    rl_text_add(text, name);
    rl_text_add(text, guard ? ")" : "");
    bare = false;
  }
}

/* The base that needs the fewest alterations. */
RlQualitySpelling
rl_quality_spell(const RlQuality quality)
{
  RlQualitySpelling best  = {0, 0};
  int               count = ALTERATIONS + 1;
  if (quality & RL_QUALITY_ALT) {
    return (RlQualitySpelling){BASE_ALT, 0};
  }
  for (int i = 0; i < BASES; ++i) {
    const Spelled here = spell(quality, bases[i].tones);
    if (here.count >= 0 && here.count < count) {
      best  = (RlQualitySpelling){(uint8_t)(i + 1), (uint16_t)here.altered};
      count = here.count;
    }
  }
  return best;
}

static const char *
base_name(const RlQualitySpelling spelling)
{
  return spelling.base == BASE_ALT ? "7alt" : spelling.base ? bases[spelling.base - 1].name : "";
}

/* `m`, `m7`, `mMaj7`; not `maj7`. */
static bool
minor_name(const char *const base)
{
  return base[0] == 'm' && base[1] != 'a';
}

void
rl_quality_spelling_write(const RlQualitySpelling spelling, RlText *const text)
{
  const char *const base = base_name(spelling);
  rl_text_add(text, base);
  alterations_write(spelling.altered, !base[0], text);
}

bool
rl_quality_spelling_lower(const RlQualitySpelling spelling)
{
  const char *const base = base_name(spelling);
  return minor_name(base) || base[0] == 'd';
}

void
rl_quality_spelling_write_behind(const RlQualitySpelling spelling, RlText *const text)
{
  const char *const base = base_name(spelling);
  rl_text_add(text, base + (minor_name(base) && base[1] != 'M'));
  alterations_write(spelling.altered, !base[0], text);
}

void
rl_quality_name(const RlQuality quality, RlText *const text)
{
  rl_quality_spelling_write(rl_quality_spell(quality), text);
}
