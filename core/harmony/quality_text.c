/* SPDX-License-Identifier: ISC */
/* Qualities read: a base, then alterations. */
#include "core/harmony/quality_text.h"

#include <string.h>

/* What is still to be read, and what has been read so far. */
typedef struct {
  RlSlice   rest;
  RlQuality quality;
  bool      inside; /* brackets */
} Reader;

#define DELTA     "\xCE\x94"
#define SLASHED_O "\xC3\xB8"

/* Spellings of a word, the longer before those they begin with. */
static const char *const minor_words[]      = {"minor", "min", "Min", "mi", "Mi", "m", "-", NULL};
static const char *const major_words[]      = {"major", "Major", "maj", "Maj", "ma",
                                               "Ma",    "M",     DELTA, NULL};
static const char *const diminished_words[] = {"dim", "o", NULL};
static const char *const half_words[]       = {SLASHED_O, NULL};
static const char *const augmented_words[]  = {"aug", "+", NULL};
static const char *const suspended_words[]  = {"sus", NULL};
static const char *const added_words[]      = {"add", NULL};
static const char *const omitted_words[]    = {"omit", "no", NULL};
static const char *const flat_words[]       = {"b", "-", NULL};
static const char *const sharp_words[]      = {"#", "+", NULL};

static bool
take(Reader *const r, const char *const word)
{
  const bool here = rl_slice_begins(r->rest, word);
  r->rest         = here ? rl_slice_after(r->rest, strlen(word)) : r->rest;
  return here;
}

static bool
take_any(Reader *const r, const char *const *words)
{
  while (*words && !take(r, *words)) {
    ++words;
  }
  return *words;
}

/* `ma` and `M` are no words where `madd9` and `Min` begin. */
static bool
take_major(Reader *const r)
{
  return !rl_slice_begins(r->rest, "madd") && !rl_slice_begins(r->rest, "Mi") &&
         take_any(r, major_words);
}

/* Likewise `m` where `maj` or `ma7` begins. */
static bool
take_minor(Reader *const r)
{
  Reader major = *r;
  return (!rl_slice_begins(r->rest, "ma") || !take_major(&major)) && take_any(r, minor_words);
}

static const struct {
  const char *written;
  int         number;
} numbers[] = {
  {"13", 13}, {"11", 11}, {"6/9", 69}, {"69", 69}, {"9", 9}, {"7", 7},
  {"6", 6},   {"5", 5},   {"4", 4},    {"3", 3},   {"2", 2},
};

/* A number of a chord, 0 if there is none. */
static int
take_number(Reader *const r)
{
  for (size_t i = 0; i < sizeof(numbers) / sizeof(numbers[0]); ++i) {
    if (take(r, numbers[i].written)) {
      return numbers[i].number;
    }
  }
  return 0;
}

/* Stacks thirds on the triad up to a number, with that seventh. False if there is no such chord. */
static bool
stack_to(Reader *const r, const int number, const RlQuality seventh)
{
  RlQuality *const q      = &r->quality;
  const bool       taken  = *q & SEVENTHS;
  const bool       triad  = *q == MAJOR || *q == MINOR;
  const RlQuality  eleven = seventh == BIT(FLAT_7) ? *q & ~BIT(3) : *q;
  switch (number) {
  case 0:
    return true;
  case 2:
    *q |= BIT(9);
    return triad;
  case 5:
    *q = *q == MAJOR ? BIT(ROOT) | BIT(5) : *q;
    return *q == AUG || *q == (BIT(ROOT) | BIT(5));
  case 6:
    *q |= BIT(6);
    return triad;
  case 69:
    *q |= BIT(6) | BIT(9);
    return triad;
  case 7:
    *q |= seventh;
    return !taken;
  case 9:
    *q |= seventh | BIT(9);
    return !taken && seventh != BIT(DOUBLE_FLAT_7);
  case 11:
    *q = eleven | seventh | BIT(9) | BIT(11);
    return !taken && seventh != BIT(DOUBLE_FLAT_7);
  case 13:
    *q |= seventh | BIT(9) | BIT(13);
    return !taken && seventh != BIT(DOUBLE_FLAT_7);
  default:
    return false;
  }
}

/* `maj7`, `M9`, Δ; `maj` alone only as the first word of a major chord. */
static bool
major_read(Reader *const r, const bool delta, const bool first)
{
  const int  number = take_number(r);
  const bool plain  = number == 6 || number == 69 || !number;
  if (plain && !delta) {
    return first && stack_to(r, number, BIT(7));
  }
  return stack_to(r, number ? number : 7, BIT(7));
}

/* The base: the words before the alterations. */
static bool
base_read(Reader *const r, const bool lower)
{
  const bool delta = rl_slice_begins(r->rest, DELTA);
  if (take_any(r, half_words)) {
    r->quality       = DIM;
    const int number = take_number(r);
    return stack_to(r, number ? number : 7, BIT(FLAT_7));
  }
  if (take_any(r, diminished_words)) {
    r->quality = DIM;
    return stack_to(r, take_number(r), BIT(DOUBLE_FLAT_7));
  }
  const bool minor = take_minor(r);
  r->quality       = minor || lower ? MINOR : MAJOR;
  if (!minor && !delta && take_major(r)) {
    return major_read(r, false, !lower);
  }
  if (!minor && take_any(r, augmented_words)) {
    r->quality = AUG;
    return !lower && stack_to(r, take_number(r), BIT(FLAT_7));
  }
  return stack_to(r, take_number(r), BIT(FLAT_7));
}

static bool
alter(Reader *const r, const AlterationName name)
{
  const Alteration *const a    = &rl_alterations[name];
  const bool              fits = !a->needs || (r->quality & a->needs);
  r->quality                   = (r->quality & ~a->replaces) | a->adds;
  return fits;
}

/* An 11 holds its third back already. */
static bool
suspended_read(Reader *const r)
{
  const bool eleven = (r->quality & BIT(11)) && !(r->quality & THIRDS);
  if (take(r, "2")) {
    return alter(r, SUS_2);
  }
  take(r, "4");
  return eleven || alter(r, SUS_4);
}

static bool
added(Reader *const r, const int number)
{
  switch (number) {
  case 2:
  case 9:
    return alter(r, ADD_9);
  case 4:
  case 11:
    return alter(r, ADD_11);
  case 6:
    r->quality |= r->quality & SEVENTHS ? BIT(13) : BIT(6);
    return true;
  case 13:
    return alter(r, ADD_13);
  default:
    return false;
  }
}

static bool
signed_read(Reader *const r, const bool sharp)
{
  switch (take_number(r)) {
  case 5:
    return alter(r, sharp ? SHARP_5 : FLAT_5);
  case 9:
    return alter(r, sharp ? SHARP_9 : FLAT_9);
  case 11:
    return sharp && alter(r, SHARP_11);
  case 13:
    return !sharp && alter(r, FLAT_13);
  default:
    return false;
  }
}

/* A sharp or flat number; `+` alone is #5. */
static bool
sign_read(Reader *const r)
{
  Reader     plus = *r;
  const bool alone =
    (take(&plus, "+") || take(&plus, "aug")) && !take_number(&(Reader){plus.rest, 0, false});
  if (alone) {
    r->rest = plus.rest;
    return alter(r, SHARP_5);
  }
  const bool sharp = take_any(r, sharp_words);
  return (sharp || take_any(r, flat_words)) && signed_read(r, sharp);
}

static bool
alt_read(Reader *const r)
{
  const bool plain = r->quality == MAJOR || r->quality == SEVENTH;
  r->quality       = BIT(ROOT) | BIT(3) | BIT(FLAT_7) | BIT(FLAT_9) | RL_QUALITY_ALT;
  return plain && !r->rest.length;
}

static bool
omitted_read(Reader *const r)
{
  const int number = take_number(r);
  return (number == 3 && alter(r, NO_3)) || (number == 5 && alter(r, NO_5));
}

static bool
alteration_read(Reader *const r)
{
  if (take(r, "alt")) {
    return alt_read(r);
  }
  if (take_any(r, suspended_words)) {
    return suspended_read(r);
  }
  if (take_any(r, added_words)) {
    return rl_slice_begins(r->rest, "#") || rl_slice_begins(r->rest, "b")
             ? sign_read(r)
             : added(r, take_number(r));
  }
  if (take_any(r, omitted_words)) {
    return omitted_read(r);
  }
  const bool delta = rl_slice_begins(r->rest, DELTA);
  if (take_major(r)) {
    return major_read(r, delta, false);
  }
  const int number = r->inside ? take_number(r) : 0;
  return number ? added(r, number) : sign_read(r);
}

/* Brackets hold alterations, parted by a comma, a space or nothing. */
static bool
bracket_read(Reader *const r)
{
  r->inside = !rl_slice_begins(r->rest, ")");
  while (r->inside && !take(r, ")")) {
    if (!take(r, ",") && !take(r, " ") && !take(r, "/") && !alteration_read(r)) {
      return false;
    }
  }
  const bool any = r->inside;
  r->inside      = false;
  return any;
}

/* Does every tone sound a pitch of its own? */
static bool
pitches_differ(const RlQuality quality)
{
  const RlClassSet classes = rl_quality_classes(quality);
  int              count   = 0;
  for (int n = 0; n < 12; ++n) {
    count += (classes >> n) & 1;
  }
  RlDegree tone[RL_DEGREES];
  return rl_quality_tones(quality, tone) == count;
}

static bool
has_name(const RlQualitySpelling spelling)
{
  char   buffer[RL_QUALITY_NAME_SIZE + 8];
  RlText name = rl_text_in(buffer, sizeof(buffer));
  rl_quality_spelling_write(spelling, &name);
  return spelling.base && name.used < RL_QUALITY_NAME_SIZE;
}

bool
rl_quality_read(const RlSlice text, const bool lower, RlQuality *const quality,
                RlQualitySpelling *const spelling)
{
  Reader r    = {text, RL_QUALITY_NONE, false};
  bool   good = base_read(&r, lower);
  while (good && r.rest.length) {
    const bool slash = rl_slice_begins(r.rest, "/ma") || rl_slice_begins(r.rest, "/M");
    good = take(&r, "(") ? bracket_read(&r) : (!slash || take(&r, "/")) && alteration_read(&r);
  }
  *quality  = r.quality;
  *spelling = rl_quality_spell(r.quality);
  return good && pitches_differ(r.quality) && has_name(*spelling);
}

RlQuality
rl_quality_find(const RlSlice name)
{
  RlQuality         quality;
  RlQualitySpelling spelling;
  return rl_quality_read(name, false, &quality, &spelling) ? quality : (RlQuality)RL_QUALITY_NONE;
}
