/* SPDX-License-Identifier: ISC */
#include "ui/listen/way.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

enum {
  PART   = 100 * RL_PATH_HOPS, /* tried on so much, from its middle */
  LEVELS = 5,
  BANDS  = 10
};

static const double slack       = 0.1;                  /* of the tempo, up and down */
static const double tempo_least = 45, tempo_most = 230; /* felt beats a minute */
static const double band_first = 52, band_apart = 1.17; /* tempi that cover them all */
static const double convincing = 1.5;                   /* nepers a second, against no form */

/* Room for a search, and what came of the last one. */
typedef struct {
  void       *memory;
  size_t      bytes;
  RlPathBeat *beat;
  int         room, beats;
  float       worth;
} Work;

static void
tempo_set(RlPathSearch *const s, const double tempo)
{
  const double hops = 60 * RL_PATH_HOPS / tempo;
  s->shortest       = (int)(hops * (1 - slack));
  s->longest        = (int)ceil(hops * (1 + slack));
}

/* Makes room and takes in what was heard; false if memory is wanting. */
static bool
work_begin(Work *const w, const RlPathSearch *const s)
{
  const size_t bytes = rl_path_bytes(s);
  const int    room  = 2 * (s->hops / s->shortest + 2);
  if (bytes > w->bytes) {
    free(w->memory);
    w->memory = malloc(bytes);
    w->bytes  = w->memory ? bytes : 0;
  }
  if (room > w->room) {
    free(w->beat);
    w->beat = malloc((size_t)room * sizeof(*w->beat));
    w->room = w->beat ? room : 0;
  }
  if (w->memory && w->beat) {
    rl_path_begin(s, w->memory);
  }
  return w->memory && w->beat;
}

static void
work_find(Work *const w, const RlPathSearch *const s)
{
  w->beats = rl_path_find(s, w->memory, w->beat, w->room, &w->worth);
}

static int
number_order(const void *const a, const void *const b)
{
  const double x = *(const double *)a, y = *(const double *)b;
  return (x > y) - (x < y);
}

double
rl_way_middle(double *const number, const int count)
{
  if (!count) {
    return 0;
  }
  qsort(number, (size_t)count, sizeof(*number), number_order);
  return number[count / 2];
}

/* The tempo of the middle beat by length; 0: none, or no memory. */
static double
middle_tempo(const RlPathBeat *const beat, const int beats)
{
  double *const length = malloc(((size_t)beats + 1) * sizeof(*length));
  int           count  = 0;
  for (int i = 0; length && i + 1 < beats; ++i) {
    if (!beat[i + 1].entered) {
      length[count++] = beat[i + 1].hop - beat[i].hop;
    }
  }
  const double middle = rl_way_middle(length, count);
  free(length);
  return middle > 0 ? 60 * RL_PATH_HOPS / middle : 0;
}

/* ---- on a part ---- */

/* A key and a tempo, and what they are worth. */
typedef struct {
  double worth;
  double form; /* of that, what no form is held against */
  double tempo;
  int    key;
} Try;

/* All that were tried, and which of them is worth most. */
typedef struct {
  Try try[RL_WAY_KEYS * (LEVELS + BANDS)];
  int tries, best;
} Tries;

/* What the way found is worth if the band plays one feel throughout: more beats than there are find
   something that fits each of them. */
static double
steady_worth(const Work *const w, const RlPathWords *const words)
{
  return (double)(w->worth + words->onsets - words->onsets_any);
}

/* Of that, what is held against no form at all: the net finds beats in any music. */
static double
form_worth(const Work *const w, const RlPathWords *const words)
{
  return steady_worth(w, words) - (double)words->pulse;
}

static bool
tempo_try(Work *const w, const RlPathSearch *const part, const double tempo, Tries *const all)
{
  RlPathSearch s = *part;
  if (tempo < tempo_least || tempo > tempo_most) {
    return true;
  }
  tempo_set(&s, tempo);
  if (!work_begin(w, &s)) {
    return false;
  }
  work_find(w, &s);
  RlPathWords words;
  rl_path_words(&s, w->memory, w->beat, w->beats, &words);
  const Try found = {steady_worth(w, &words), form_worth(w, &words),
                     middle_tempo(w->beat, w->beats), s.key};
  if (found.tempo > 0) {
    all->try[all->tries] = found;
    all->best            = found.worth > all->try[all->best].worth ? all->tries : all->best;
    ++all->tries;
  }
  return true;
}

/* About the tempo guessed, and where it is easily taken for another. */
static bool
levels_try(Work *const w, const RlPathSearch *const part, const RlWayGuess *const guess,
           Tries *const all)
{
  static const double level[LEVELS] = {1, 2, 0.5, 1.5, 2.0 / 3};
  bool                good          = true;
  for (int i = 0; i < (guess->told ? 1 : LEVELS) && good; ++i) {
    good = tempo_try(w, part, guess->tempo * level[i], all);
  }
  return good;
}

static bool
bands_try(Work *const w, const RlPathSearch *const part, Tries *const all)
{
  bool   good  = true;
  double tempo = band_first;
  for (int i = 0; i < BANDS && good; ++i, tempo *= band_apart) {
    good = tempo_try(w, part, tempo, all);
  }
  return good;
}

/* Nepers a second by which a way is worth more than no form. */
static double
explains(const RlPathSearch *const s, const double worth)
{
  return (worth - (double)rl_path_none(s)) * RL_PATH_HOPS / s->hops;
}

static bool
part_try(Work *const w, RlPathSearch part, const RlWayGuess *const guess, Tries *const all)
{
  const int hops = part.hops < PART ? part.hops : PART;
  bool      good = true;
  part.hop += (part.hops - hops) / 2;
  part.hops = hops;
  for (int k = 0; k < guess->keys && good && guess->tempo > 0; ++k) {
    part.key = guess->key[k];
    good     = levels_try(w, &part, guess, all);
  }
  if (all->tries && explains(&part, all->try[all->best].form) > convincing) {
    return good;
  }
  for (int k = 0; k < guess->keys && good; ++k) {
    part.key = guess->key[k];
    good     = bands_try(w, &part, all);
  }
  return good;
}

/* ---- on all ---- */

/* The lean under which the best way is worth most, and that way. */
static void
lean_choose(Work *const w, RlPathSearch *const s)
{
  float most = -HUGE_VALF;
  int   best = RL_LEAN_ON;
  for (s->lean = RL_EAR_LEANS - 1; s->lean >= RL_LEAN_ON;
       --s->lean) { /* the likeliest comes last */
    work_find(w, s);
    const float worth = w->worth - (s->lean == RL_LEAN_ON ? 0 : rl_place_lean_cost);
    best              = worth > most ? s->lean : best;
    most              = worth > most ? worth : most;
  }
  s->lean = best;
  if (best != RL_LEAN_ON) {
    work_find(w, s);
  }
}

/* The next best tempo of the part tried. */
static void
other_tempo(const Tries *const all, const int hops, RlWay *const way)
{
  const Try *const best = &all->try[all->best];
  for (int i = 0; i < all->tries; ++i) {
    const Try *const t     = &all->try[i];
    const double     ahead = (best->form - t->form) * RL_PATH_HOPS / fmin(hops, PART);
    if (fabs(log(t->tempo / best->tempo)) > slack && ahead < way->steady) {
      way->steady = ahead;
      way->other  = t->tempo;
    }
  }
}

/* What speaks for the way found and against it. */
static void
way_weigh(const Work *const w, const RlPathSearch *const s, RlWay *const way)
{
  RlPathWords words;
  double      inside  = 0;
  int         entries = 0;
  rl_path_words(s, w->memory, w->beat, w->beats, &words);
  for (int i = 0; i < w->beats; ++i) {
    entries += w->beat[i].entered;
    inside += i + 1 < w->beats && !w->beat[i + 1].entered ? w->beat[i + 1].hop - w->beat[i].hop : 0;
  }
  const double seconds = (double)s->hops / RL_PATH_HOPS, none = (double)rl_path_none(s);
  const float  chords = fmaxf(words.chords[0], fmaxf(words.chords[1], words.chords[2]));
  way->explains       = (form_worth(w, &words) - none) / seconds;
  way->tones          = ((double)(chords + words.bass) - none * inside / s->hops) / seconds;
  way->entries        = 60 * entries / seconds;
}

static bool
all_find(Work *const w, RlPathSearch s, const Tries *const tries, const RlWayTold *const at,
         RlWay *const way)
{
  const Try *const best = &tries->try[tries->best];
  s.key                 = best->key;
  way->key              = best->key;
  tempo_set(&s, best->tempo);
  if (!work_begin(w, &s)) {
    return false;
  }
  lean_choose(w, &s);
  const bool good = rl_place_choose(&s, w->memory, at, w->beat, w->beats, &way->place);
  other_tempo(tries, s.hops, way);
  way_weigh(w, &s, way);
  way->tempo = middle_tempo(w->beat, w->beats);
  return good;
}

bool
rl_way_find(const RlScore *const score, const RlPathHop *const hop, const int hops,
            const RlWayGuess *const guess, RlWay *const way)
{
  const RlPathSearch whole = {.score = score, .hop = hop, .hops = hops};
  Work               w     = {0};
  Tries              tries = {0};
  bool               good  = part_try(&w, whole, guess, &tries);
  *way                     = (RlWay){.steady = HUGE_VAL};
  w.beats                  = 0;
  if (good && tries.tries) {
    good = all_find(&w, whole, &tries, &guess->at, way);
  }
  free(w.memory);
  way->beat  = w.beat;
  way->beats = w.beats;
  return good;
}
