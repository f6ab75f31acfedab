/* SPDX-License-Identifier: ISC */
#include "core/arrange/finder.h"

#include "core/harmony/lamps.h"

#include <assert.h>

/* ---- which positions players like ---- */

/* Mode of the song, and group of tunings it is played on. */
typedef enum {
  MAJOR,
  MAJOR_ON_RAISED_THIRD,
  MAJOR_ON_SOLO,
  MAJOR_ON_MINOR_REEDS,
  MINOR,
  MINOR_ON_NATURAL,
  MINOR_ON_HARMONIC,
  HABITS
} Habit;

enum { LIKED_BEST = 100 };

/* How well a position is liked, in hundredths, first to twelfth. Each row has one best, to which a
   shift brings the harp. Major: the blues is played in second; first and third follow, twelfth has
   the major seventh and few blue notes, fourth and fifth are for players who know them. A raised
   third blow is for tunes in first; solo tuning plays the blues in third. Minor: third lies well,
   fourth and fifth have the minor chords, second needs care. Natural minor tuning is made for
   second position, harmonic minor for first. (Common practice, no source; the numbers are ours.) */
static const uint8_t liking[HABITS][12] = {
  [MAJOR]                 = {70, 100, 60, 40, 40, 5, 5, 5, 5, 5, 20, 50},
  [MAJOR_ON_RAISED_THIRD] = {80, 90, 55, 40, 40, 5, 5, 5, 5, 5, 20, 50},
  [MAJOR_ON_SOLO]         = {80, 50, 100, 30, 30, 5, 5, 5, 5, 5, 20, 50},
  [MAJOR_ON_MINOR_REEDS]  = {25, 30, 20, 10, 10, 5, 5, 5, 5, 5, 10, 10},
  [MINOR]                 = {30, 65, 100, 70, 70, 15, 5, 5, 5, 5, 5, 10},
  [MINOR_ON_NATURAL]      = {75, 100, 70, 50, 20, 5, 5, 5, 5, 5, 10, 20},
  [MINOR_ON_HARMONIC]     = {100, 60, 40, 60, 20, 5, 5, 5, 5, 5, 10, 30},
};

static const uint8_t *
liking_of(const RlTuning tuning, const RlKey key)
{
  static const Habit habits[RL_TUNINGS][2] = {
    [RL_RICHTER]           = {MAJOR, MINOR},
    [RL_RAISED_THIRD_BLOW] = {MAJOR_ON_RAISED_THIRD, MINOR},
    [RL_COUNTRY]           = {MAJOR, MINOR},
    [RL_NATURAL_MINOR]     = {MAJOR_ON_MINOR_REEDS, MINOR_ON_NATURAL},
    [RL_HARMONIC_MINOR]    = {MAJOR_ON_MINOR_REEDS, MINOR_ON_HARMONIC},
    [RL_SOLO]              = {MAJOR_ON_SOLO, MINOR},
  };
  return liking[habits[tuning][key.minor]];
}

static int
liked(const RlFinding *const f, const RlKey key)
{
  return liking_of(f->choice.tuning, key)[f->position - 1];
}

static int
best_position(const RlTuning tuning, const RlKey key)
{
  const uint8_t *const row  = liking_of(tuning, key);
  int                  best = 0;
  for (int i = 1; i < 12; ++i) {
    best = row[i] > row[best] ? i : best;
  }
  return best + 1;
}

/* ---- chords of the song ---- */

enum {
  ASKED_MAX = 1 << 12, /* sets of pitch classes */
  WHOLE     = 1000000  /* a share of all, in millionths */
};

/* The chords of a song, each set of pitch classes once, and how long it sounds. */
typedef struct {
  int count;
  struct {
    RlClassSet tones;    /* above C */
    uint32_t   duration; /* in thirty-second notes */
  } asked[ASKED_MAX];
} Song;

static RlClassSet
tones_of(const RlHarmony *const harmony)
{
  const unsigned above = rl_quality_classes(harmony->quality);
  const int      root  = rl_harmony_root(harmony);
  return (RlClassSet)((above << root | above >> (12 - root)) & 0xFFF);
}

static void
song_add(Song *const song, const RlClassSet tones, const int duration)
{
  int at = 0;
  while (at < song->count && song->asked[at].tones != tones) {
    ++at;
  }
  if (at == song->count) {
    song->asked[at].tones    = tones;
    song->asked[at].duration = 0;
    ++song->count;
  }
  song->asked[at].duration += (uint32_t)duration;
}

static void
song_read(Song *const song, const RlForm *const form, const RlKey key)
{
  song->count = 0;
  for (int i = 0; i < form->bars + form->ending_bars; ++i) {
    const RlBar *const bar = &form->bar[i];
    for (int k = 0; k < bar->chords; ++k) {
      const RlFormChord *const chord = &form->chord[bar->first_chord + k];
      const int                end   = k + 1 < bar->chords ? chord[1].beat : bar->beats;
      const RlHarmony          h     = rl_harmony_of(chord->chord, key);
      if (h.sounding) {
        song_add(song, tones_of(&h), (end - chord->beat) * 32 / bar->unit);
      }
    }
  }
}

/* ---- notes of the harp ---- */

/* Notes by semitones above the harp's lowest natural note: three octaves, and an overdraw. */
typedef struct {
  int      lowest, highest; /* natural notes, MIDI */
  uint64_t plain, bent;
} Notes;

static void
compass_find(Notes *const notes, const RlHarp *const harp)
{
  notes->lowest = notes->highest = harp->note[0][RL_BLOW];
  for (int hole = 0; hole < RL_HOLES; ++hole) {
    for (int how = RL_BLOW; how <= RL_DRAW; ++how) {
      const int note = harp->note[hole][how];
      notes->lowest  = note < notes->lowest ? note : notes->lowest;
      notes->highest = note > notes->highest ? note : notes->highest;
    }
  }
}

static Notes
notes_of(const RlHarp *const harp, const RlPlayer player)
{
  Notes notes = {0};
  compass_find(&notes, harp);
  for (int hole = 0; hole < RL_HOLES; ++hole) {
    for (int how = 0; how < RL_TECHNIQUES; ++how) {
      const int note = harp->note[hole][how];
      if (!note || !rl_player_can(player, (RlTechnique)how)) {
        continue;
      }
      const uint64_t bit = (uint64_t)1 << (note - notes.lowest);
      notes.bent |= bit;
      notes.plain |= how <= RL_DRAW ? bit : 0;
    }
  }
  return notes;
}

/* How many of the chord's tones within the compass are in `had`, in millionths. Whole numbers, so
   that a score depends neither on the order of chords nor on the machine's rounding. */
static uint64_t
share_of_chord(const Notes *const notes, const RlClassSet tones, const uint64_t had)
{
  uint64_t asked = 0;
  uint64_t found = 0;
  for (int note = notes->lowest; note <= notes->highest; ++note) {
    const bool tone = rl_class_set_has(tones, note);
    asked += tone;
    found += tone && (had >> (note - notes->lowest) & 1U);
  }
  return asked ? found * WHOLE / asked : 0;
}

static int
share_of(const Song *const song, const Notes *const notes, const uint64_t had)
{
  uint64_t duration = 0;
  uint64_t sum      = 0;
  for (int i = 0; i < song->count; ++i) {
    duration += song->asked[i].duration;
    sum += song->asked[i].duration * share_of_chord(notes, song->asked[i].tones, had);
  }
  return duration ? (int)(sum / duration) : 0;
}

/* ---- blue notes ---- */

static int
places_of(const RlHarp *const harp, const RlPlayer player, const int pitch_class)
{
  int places = 0;
  for (int hole = 0; hole < RL_HOLES; ++hole) {
    for (int how = 0; how < RL_TECHNIQUES; ++how) {
      const int note = harp->note[hole][how];
      places +=
        note && rl_pitch_class(note) == pitch_class && rl_player_can(player, (RlTechnique)how);
    }
  }
  return places;
}

/* Which notes are blue: core/harmony/lamps. */
static void
blue_find(RlFinding *const f, const RlKey key, const RlHarp *const harp, const RlPlayer player)
{
  static const RlHarmony no_chord = {0};
  const int              tonic    = rl_spelling_class(key.tonic);
  for (int above = 0; above < 12 && f->blues < RL_BLUE_MAX; ++above) {
    const RlWorth worth = rl_worth_of(tonic + above, &no_chord, key);
    if (worth.blue) {
      const int places    = places_of(harp, player, rl_pitch_class(tonic + above));
      f->blue[f->blues++] = (RlBlueNote){worth.degree, (uint8_t)places};
    }
  }
}

/* ---- the score ---- */

static int
blue_score(const RlFinding *const f)
{
  int places = 0;
  for (int i = 0; i < f->blues; ++i) {
    const int here = f->blue[i].places;
    places += here < RL_SCORE_BLUE_PLACES ? here : RL_SCORE_BLUE_PLACES;
  }
  return f->blues ? RL_SCORE_BLUE * places / (f->blues * RL_SCORE_BLUE_PLACES) : 0;
}

static int
share_score(const int weight, const int share)
{
  return (int)(((int64_t)weight * share + WHOLE / 2) / WHOLE);
}

/* Semitones to transpose the recording by, for the harp's best position. */
static int
shift_to_best(const RlHarpChoice choice, const RlKey key)
{
  const int fifths = best_position(choice.tuning, key) - 1;
  const int wanted = choice.key + fifths * 7;
  return rl_pitch_class(wanted - rl_spelling_class(key.tonic) + 6) - 6;
}

static RlFinding
judge(const Song *const song, const RlKey key, const RlHarpChoice choice, const RlPlayer player)
{
  const RlHarp harp  = rl_harp_make(choice);
  const Notes  notes = notes_of(&harp, player);
  const int    plain = share_of(song, &notes, notes.plain);
  const int    bent  = share_of(song, &notes, notes.bent);
  RlFinding    f     = {.choice = choice};
  assert(choice.key < 12 && choice.tuning < RL_TUNINGS);
  f.position = (uint8_t)rl_harp_position(choice.key, rl_spelling_class(key.tonic));
  f.plain    = (float)plain / WHOLE;
  f.bent     = (float)bent / WHOLE;
  f.shift    = (int8_t)shift_to_best(choice, key);
  blue_find(&f, key, &harp, player);
  f.score =
    (int16_t)(RL_SCORE_POSITION * liked(&f, key) / LIKED_BEST + share_score(RL_SCORE_PLAIN, plain) +
              share_score(RL_SCORE_BENT, bent) + blue_score(&f));
  return f;
}

RlFinding
rl_finder_judge(const RlForm *const form, const RlKey key, const RlHarpChoice choice,
                const RlPlayer player)
{
  Song song;
  song_read(&song, form, key);
  return judge(&song, key, choice, player);
}

/* Standard, low, high. */
static int
register_order(const RlHarpChoice choice)
{
  return choice.range == 0 ? 0 : choice.range < 0 ? 1 : 2;
}

static bool
better(const RlFinding *const a, const RlFinding *const b, const RlKey key)
{
  const int lead[] = {
    a->score - b->score,
    liked(a, key) - liked(b, key),
    register_order(b->choice) - register_order(a->choice),
    (int)b->choice.tuning - (int)a->choice.tuning,
    b->choice.key - a->choice.key,
  };
  for (size_t i = 0; i < sizeof(lead) / sizeof(lead[0]); ++i) {
    if (lead[i]) {
      return lead[i] > 0;
    }
  }
  return false;
}

void
rl_finder_rank(const RlForm *const form, const RlKey key, const RlHarpChoice *const owned,
               const int count, const RlPlayer player, RlFinding *const ranked)
{
  Song song;
  song_read(&song, form, key);
  for (int i = 0; i < count; ++i) {
    const RlFinding f  = judge(&song, key, owned[i], player);
    int             at = i;
    for (; at > 0 && better(&f, &ranked[at - 1], key); --at) {
      ranked[at] = ranked[at - 1];
    }
    ranked[at] = f;
  }
}

/* ---- transposing the recording ---- */

/* What the harp is worth once the recording is transposed: as much as a harp lower by the same
   semitones is now. */
static RlFinding
judge_moved(const Song *const song, const RlKey key, const RlPlayer player,
            const RlHarpChoice choice, const int semitones)
{
  RlHarpChoice lower = choice;
  lower.key          = (uint8_t)rl_pitch_class(choice.key - semitones);
  RlFinding f        = judge(song, key, lower, player);
  f.choice           = choice;
  return f;
}

static int
distance(const int semitones)
{
  return semitones < 0 ? -semitones : semitones;
}

static bool
better_shift(const RlShift *const a, const RlShift *const b)
{
  if (!b->semitones || distance(a->semitones) != distance(b->semitones)) {
    return !b->semitones || distance(a->semitones) < distance(b->semitones);
  }
  return a->then.score != b->then.score ? a->then.score > b->then.score
                                        : a->semitones < b->semitones;
}

RlShift
rl_finder_shift(const RlForm *const form, const RlKey key, const RlPlayer player,
                const RlFinding *const ranked, const int count)
{
  RlShift best = {0};
  Song    song;
  if (!count || ranked[0].score >= RL_SCORE_FITS) {
    return best;
  }
  song_read(&song, form, key);
  for (int i = 0; i < count; ++i) {
    const int     semitones = ranked[i].shift;
    const RlShift way       = {(int8_t)semitones,
                               judge_moved(&song, key, player, ranked[i].choice, semitones)};
    if (semitones && way.then.score >= RL_SCORE_FITS && better_shift(&way, &best)) {
      best = way;
    }
  }
  return best;
}
