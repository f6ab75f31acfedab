/* SPDX-License-Identifier: ISC */
/* The target line against an exhaustive search: every line through a short form is tried, and its
   cost is added up from weights written down here again from core/arrange/COSTS.md ("Where to
   land"). core/arrange/target_line must find one that costs as little, and of several the one that
   the tie rule names. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "core/arrange/target_line.h"
#include "core/chart/chart.h"

#include <string.h>

static uint64_t chance_state;

/* 0 up to `below` - 1; the generator is Knuth's MMIX congruence, its upper bits. */
static int
chance(const int below)
{
  chance_state = chance_state * 6364136223846793005U + 1442695040888963407U;
  return (int)((chance_state >> 33U) % (uint64_t)below);
}

/* ---- the weights of COSTS.md, in halves of a semitone ---- */

enum {
  SEMITONE   = 2,  /* a step: 1 for each half step */
  HOLE       = 1,  /* and 1/2 for each hole crossed */
  GUIDE_TONE = 0,  /* landing: on the third or seventh */
  ROOT       = 12, /* 6 on the root */
  FIFTH      = 14, /* 7 on the fifth */
  HIGH       = 8,  /* 4 in the holes 7 to 10 */
  BEND       = 2,  /* 1 for each half step bent */
  OVER       = 8,  /* 4 for an overblow or overdraw */
  STAY       = 2   /* a step: 1 for staying on the same note */
};

/* Semitones above the root of third, fifth and seventh, NONE where the chord has none.
   core/harmony/CHORDS.md spells 11 and 13, COSTS.md counts the 2 and 4 of sus chords as thirds; the
   rest is common practice, no source. 7alt is left out: nothing says which fifth it has. */
enum { NONE = -1 };

static const struct {
  const char *name;
  int         third, fifth, seventh;
} qualities[] = {
  {"", 4, 7, NONE},    {"m", 3, 7, NONE},    {"7", 4, 7, 10},      {"maj7", 4, 7, 11},
  {"m7", 3, 7, 10},    {"mMaj7", 3, 7, 11},  {"6", 4, 7, NONE},    {"m6", 3, 7, NONE},
  {"6/9", 4, 7, NONE}, {"9", 4, 7, 10},      {"m9", 3, 7, 10},     {"maj9", 4, 7, 11},
  {"9sus4", 5, 7, 10}, {"11", NONE, 7, 10},  {"m11", 3, 7, 10},    {"13", 4, 7, 10},
  {"maj13", 4, 7, 11}, {"7b9", 4, 7, 10},    {"7#9", 4, 7, 10},    {"7b5", 4, 6, 10},
  {"7#5", 4, 8, 10},   {"7#11", 4, 7, 10},   {"m7b5", 3, 6, 10},   {"dim", 3, 6, NONE},
  {"dim7", 3, 6, 9},   {"aug", 4, 8, NONE},  {"sus2", 2, 7, NONE}, {"sus4", 5, 7, NONE},
  {"7sus4", 5, 7, 10}, {"add9", 4, 7, NONE}, {"5", NONE, 7, NONE},
};

enum { QUALITIES = sizeof(qualities) / sizeof(qualities[0]), NO_CHORD = -1 };

/* Landing on a note `above` semitones over the root, technique not counted; -1: no target. */
static int
tone_cost(const int quality, const int above)
{
  const bool guide = above == qualities[quality].third || above == qualities[quality].seventh;
  return guide ? GUIDE_TONE : above == 0 ? ROOT : above == qualities[quality].fifth ? FIFTH : -1;
}

/* How deep a technique bends: its name says so. */
static int
depth_of(const int technique)
{
  return technique >= RL_BLOW_1 && technique <= RL_BLOW_3   ? technique - RL_BLOW_1 + 1
         : technique >= RL_DRAW_1 && technique <= RL_DRAW_3 ? technique - RL_DRAW_1 + 1
                                                            : 0;
}

/* RlPlayer: the deepest draw and blow bend, overblows with overdraws. */
static bool
reaches(const RlPlayer player, const int technique)
{
  if (technique == RL_OVERBLOW || technique == RL_OVERDRAW) {
    return player.overblows;
  }
  const bool blown = technique == RL_BLOW || (technique >= RL_BLOW_1 && technique <= RL_BLOW_3);
  return depth_of(technique) <= (blown ? player.blow_bends : player.draw_bends);
}

static int
step_cost(const RlTarget a, const RlTarget b)
{
  const int semitones = a.note > b.note ? a.note - b.note : b.note - a.note;
  const int holes     = a.hole > b.hole ? a.hole - b.hole : b.hole - a.hole;
  return semitones * SEMITONE + holes * HOLE + (semitones == 0 ? STAY : 0);
}

/* ---- a short song ---- */

enum { CHORDS_MAX = 8, LANDINGS_MAX = 80, LINES_MAX = 2000000 };

/* A change: its chord, and every note it could be landed on, lower holes first. */
typedef struct {
  int      root, quality; /* quality NO_CHORD: N.C. */
  int      landings;
  RlTarget at[LANDINGS_MAX];
  int      cost[LANDINGS_MAX];
} Change;

typedef struct {
  int      chorus, ending; /* changes */
  Change   change[2 * CHORDS_MAX];
  RlKey    key;
  RlHarp   harp;
  RlPlayer player;
} Song;

static RlForm                form;
static RlTargetLineWorkspace room;
static RlTargetLine          line;

static const char *const letters[12] = {"C",  "Db", "D",  "Eb", "E",  "F",
                                        "F#", "G",  "Ab", "A",  "Bb", "B"};
static const char *const degrees[12] = {"I",   "bII", "II",  "bIII", "III",  "IV",
                                        "#IV", "V",   "bVI", "VI",   "bVII", "VII"};

static RlChord
chord_read(const int root, const int quality, const int tonic)
{
  char    buffer[32];
  RlText  text = rl_text_in(buffer, sizeof(buffer));
  RlChord chord;
  rl_text_add(&text, quality == NO_CHORD ? "N.C."
                     : tonic < 0         ? letters[root]
                                         : degrees[(root - tonic + 12) % 12]);
  rl_text_add(&text, quality == NO_CHORD ? "" : qualities[quality].name);
  assert_int_equal(rl_chord_read(rl_slice(buffer), &chord), RL_CHORD_OK);
  return chord;
}

static void
landings_find(const Song *const song, Change *const change)
{
  change->landings = 0;
  for (int hole = 1; change->quality != NO_CHORD && hole <= RL_HOLES; ++hole) {
    for (int how = 0; how < RL_TECHNIQUES; ++how) {
      const int note  = song->harp.note[hole - 1][how];
      const int above = (note - change->root + 12) % 12;
      const int tone  = tone_cost(change->quality, above);
      const int high  = hole > 6 ? HIGH : 0;
      const int over  = how == RL_OVERBLOW || how == RL_OVERDRAW ? OVER : 0;
      if (note && tone >= 0 && reaches(song->player, how)) {
        assert_true(change->landings < LANDINGS_MAX);
        change->cost[change->landings] = tone + depth_of(how) * BEND + over + high;
        change->at[change->landings++] = (RlTarget){(uint8_t)hole, (uint8_t)how, 0, (uint8_t)note};
      }
    }
  }
}

/* Appends a bar to the form, and to the song a change if the name is another than before. */
static int
bar_append(Song *const song, const int index, const int first, int changes, const int root,
           const int quality)
{
  const bool degree = song->key.minor; /* any rule will do, so long as a song keeps to one */
  const int  tonic  = degree ? rl_spelling_class(song->key.tonic) : -1;
  form.bar[index]   = (RlBar){.first_chord = form.chords, .chords = 1, .beats = 4, .unit = 4};
  form.chord[form.chords++] = (RlFormChord){chord_read(root, quality, tonic), 0};
  const Change *const last  = changes > first ? &song->change[changes - 1] : NULL;
  if (!last || last->root != root || last->quality != quality) {
    song->change[changes]         = (Change){0};
    song->change[changes].root    = root;
    song->change[changes].quality = quality;
    landings_find(song, &song->change[changes++]);
  }
  return changes;
}

/* Root and quality of a chord by chance; N.C. has root 0. */
static void
chord_by_chance(int *const root, int *const quality)
{
  *quality = chance(8) == 0 ? NO_CHORD : chance(QUALITIES);
  *root    = *quality == NO_CHORD ? 0 : chance(12);
}

/* A song by chance, its form in `form`. Now and then a chord comes twice, the last chord is the
   first again, or the ending begins as the chorus ends. */
static Song
song_try(void)
{
  Song      song                = {0};
  const int bars                = 1 + chance(6);
  const int ending              = chance(2) ? 1 + chance(4) : 0;
  int       roots[CHORDS_MAX]   = {0};
  int       quality[CHORDS_MAX] = {0};
  int       changes             = 0;
  memset(&form, 0, sizeof(form));
  song.key    = rl_key_named(chance(12), chance(2));
  song.player = (RlPlayer){(uint8_t)chance(4), (uint8_t)chance(4), chance(3) == 0};
  song.harp   = rl_harp_make(
      (RlHarpChoice){(uint8_t)chance(12), (int8_t)(chance(3) - 1), (RlTuning)chance(RL_TUNINGS)});
  for (int i = 0; i < bars; ++i) {
    const int from = chance(5) == 0 && i ? i - 1 : i == bars - 1 && chance(3) == 0 ? 0 : i;
    chord_by_chance(&roots[i], &quality[i]);
    roots[i]   = roots[from];
    quality[i] = quality[from];
    changes    = bar_append(&song, i, 0, changes, roots[i], quality[i]);
  }
  song.chorus = changes;
  for (int i = 0; i < ending; ++i) {
    int root = roots[bars - 1];
    int kind = quality[bars - 1];
    if (i || chance(2)) {
      chord_by_chance(&root, &kind);
    }
    changes = bar_append(&song, bars + i, song.chorus, changes, root, kind);
  }
  song.ending      = changes - song.chorus;
  form.bars        = (uint16_t)bars;
  form.ending_bars = (uint16_t)ending;
  rl_form_finish(&form);
  return song;
}

static int
lines_through(const Song *const song, const int from, const int to)
{
  int64_t lines = 1;
  for (int i = from; i < to; ++i) {
    lines *= song->change[i].landings ? song->change[i].landings : 1;
    lines = lines > LINES_MAX ? LINES_MAX + 1 : lines;
  }
  return (int)lines;
}

/* One with few enough lines to try them all. */
static Song
song_by_chance(void)
{
  Song song = song_try();
  while (lines_through(&song, 0, song.chorus) > LINES_MAX ||
         lines_through(&song, song.chorus, song.chorus + song.ending) > LINES_MAX) {
    song = song_try();
  }
  return song;
}

/* ---- the exhaustive search ---- */

typedef struct {
  const Song *song;
  int         stops, stop[2 * CHORDS_MAX]; /* changes with landings, in order */
  bool        cycle;
  bool        has_before;
  RlTarget    before; /* what the line goes on from */
  int         chosen[2 * CHORDS_MAX], best[2 * CHORDS_MAX];
  int         best_cost;
  int         as_cheap; /* lines that cost no more than the best */
} Search;

/* Tries every landing of `depth`'s change and all that follow. Landings are sorted by hole, then by
   technique, and lines are tried in dictionary order, so that of equally cheap lines the first
   tried has the lower hole where they first differ: the tie rule ("ties go to the lower hole";
   which hole of a whole line, core/arrange/target_line.h says: that of the first difference). */
static void
search_on(Search *const s, const int depth, const int cost, const RlTarget last)
{
  if (depth == s->stops) {
    const Change *const first = &s->song->change[s->stop[0]];
    const int           whole = cost + (s->cycle ? step_cost(last, first->at[s->chosen[0]]) : 0);
    if (whole < s->best_cost) {
      s->best_cost = whole;
      s->as_cheap  = 0;
      memcpy(s->best, s->chosen, sizeof(s->best));
    }
    s->as_cheap += whole == s->best_cost;
    return;
  }
  const Change *const change = &s->song->change[s->stop[depth]];
  const bool          step   = depth > 0 || s->has_before;
  for (int i = 0; i < change->landings; ++i) {
    s->chosen[depth] = i;
    search_on(s, depth + 1, cost + change->cost[i] + (step ? step_cost(last, change->at[i]) : 0),
              change->at[i]);
  }
}

static Search
search(const Song *const song, const int from, const int to, const bool cycle,
       const RlTarget *const before)
{
  Search s = {.song = song, .cycle = cycle, .has_before = before != NULL, .best_cost = 1 << 30};
  for (int i = from; i < to; ++i) {
    if (song->change[i].landings) {
      s.stop[s.stops++] = i;
    }
  }
  s.before = before ? *before : (RlTarget){0};
  if (s.stops) {
    search_on(&s, 0, 0, s.before);
  }
  return s;
}

/* What core's line costs along the stops of a search, by the weights above. */
static int
cost_of_line(const Search *const s)
{
  int      cost = 0;
  RlTarget last = s->before;
  for (int i = 0; i < s->stops; ++i) {
    const Change *const change = &s->song->change[s->stop[i]];
    const RlTarget      target = line.target[s->stop[i]];
    int                 at     = 0;
    while (at < change->landings &&
           (change->at[at].hole != target.hole || change->at[at].technique != target.technique)) {
      ++at;
    }
    if (at == change->landings) {
      fail_msg("change %d: hole %d, technique %d is no target this player reaches", s->stop[i],
               target.hole, target.technique);
    }
    cost += change->cost[at] + (i || s->has_before ? step_cost(last, target) : 0);
    last = target;
  }
  return cost + (s->cycle && s->stops ? step_cost(last, line.target[s->stop[0]]) : 0);
}

static void
song_show(const Song *const song)
{
  for (int i = 0; i < song->chorus + song->ending; ++i) {
    const Change *const c = &song->change[i];
    print_error("%s%s%s ", i == song->chorus ? "|| " : "",
                c->quality == NO_CHORD ? "N.C." : letters[c->root],
                c->quality == NO_CHORD ? "" : qualities[c->quality].name);
  }
  print_error(": draw bends %d, blow bends %d, overblows %d, hole 1 blow %d\n",
              song->player.draw_bends, song->player.blow_bends, song->player.overblows,
              song->harp.note[0][RL_BLOW]);
}

static void
same_line(const Search *const s)
{
  const int cost = cost_of_line(s);
  if (s->stops && cost != s->best_cost) {
    song_show(s->song);
    fail_msg("the line costs %d halves, the cheapest of all %d", cost, s->best_cost);
  }
  for (int i = 0; i < s->stops; ++i) {
    const Change *const c      = &s->song->change[s->stop[i]];
    const RlTarget      wanted = c->at[s->best[i]];
    const RlTarget      target = line.target[s->stop[i]];
    if (target.hole != wanted.hole || target.technique != wanted.technique) {
      song_show(s->song);
      fail_msg("change %d: hole %d %s; of %d lines as cheap the tie rule wants hole %d %s",
               s->stop[i], target.hole, rl_technique_name((RlTechnique)target.technique),
               s->as_cheap, wanted.hole, rl_technique_name((RlTechnique)wanted.technique));
    }
  }
}

static bool
same_name(const Change *const a, const Change *const b)
{
  return a->root == b->root && a->quality == b->quality;
}

/* What came up, so that a test of nothing does not pass. */
static struct {
  int silences, out_of_reach, wraps, endings, endings_going_on, ties;
} seen;

/* Of every change: none where there is nothing to land on, else a note of the harp with its degree.
 */
static void
targets_check(const Song *const song)
{
  for (int i = 0; i < song->chorus + song->ending; ++i) {
    const Change *const c = &song->change[i];
    const RlTarget      t = line.target[i];
    seen.silences += c->quality == NO_CHORD;
    seen.out_of_reach += c->quality != NO_CHORD && !c->landings;
    assert_int_equal(t.hole > 0, c->landings > 0);
    if (t.hole) {
      assert_in_range(t.hole, 1, RL_HOLES);
      assert_in_range(t.technique, 0, RL_TECHNIQUES - 1);
      assert_int_equal(t.note, song->harp.note[t.hole - 1][t.technique]);
      assert_int_equal((t.note - c->root + 12) % 12, rl_degree_semitones((RlDegree)t.degree));
    } else {
      assert_int_equal(t.note, 0);
    }
  }
}

/* core/arrange/target_line.h: "The chorus is taken as a cycle, a last chord that is also the first
 * as one with it". */
static void
chorus_check(const Song *const song)
{
  const int    last  = song->chorus - 1;
  const bool   wraps = last > 0 && same_name(&song->change[0], &song->change[last]);
  const Search s     = search(song, 0, wraps ? last : song->chorus, true, NULL);
  same_line(&s);
  if (wraps) {
    assert_int_equal(line.target[last].hole, line.target[0].hole);
    assert_int_equal(line.target[last].technique, line.target[0].technique);
  }
  seen.wraps += wraps && song->change[0].landings;
  seen.ties += s.as_cheap > 1;
}

/* core/arrange/target_line.h: "the ending goes on from the last target of the chorus". An ending
   that begins on the chorus's last chord holds its target. */
static void
ending_check(const Song *const song)
{
  if (!song->ending) {
    return;
  }
  const int  last    = song->chorus - 1;
  const int  end     = song->chorus + song->ending;
  const bool goes_on = same_name(&song->change[last], &song->change[song->chorus]);
  int        from    = last;
  while (from > 0 && !line.target[from].hole) {
    --from;
  }
  const RlTarget before = line.target[from];
  const Search   s = search(song, song->chorus + goes_on, end, false, before.hole ? &before : NULL);
  same_line(&s);
  if (goes_on) {
    assert_int_equal(line.target[song->chorus].hole, line.target[last].hole);
    assert_int_equal(line.target[song->chorus].technique, line.target[last].technique);
  }
  ++seen.endings;
  seen.endings_going_on += goes_on && song->change[last].landings;
}

static void
the_line_is_the_one_an_exhaustive_search_finds(void **state)
{
  (void)state;
  memset(&seen, 0, sizeof(seen));
  chance_state = 1;
  for (int i = 0; i < 500; ++i) {
    const Song song = song_by_chance();
    assert_int_equal(form.changes, song.chorus);
    assert_int_equal(form.ending_changes, song.ending);
    memset(&room, 0xA5, sizeof(room)); /* core/arrange/target_line.h: no need to clear it */
    memset(&line, 0xA5, sizeof(line));
    rl_target_line_find(&form, song.key, &song.harp, song.player, &room, &line);
    targets_check(&song);
    chorus_check(&song);
    ending_check(&song);
  }
  assert_true(seen.silences > 50);
  assert_true(seen.out_of_reach > 5);
  assert_true(seen.wraps > 50);
  assert_true(seen.endings > 100);
  assert_true(seen.endings_going_on > 50);
  assert_true(seen.ties > 50);
}

/* Every tuning, with each of a few players, on one form that needs them. */
static void
the_line_is_the_cheapest_on_every_tuning_for_every_player(void **state)
{
  (void)state;
  chance_state = 2;
  for (int tuning = 0; tuning < RL_TUNINGS; ++tuning) {
    for (int reach = 0; reach < 32; ++reach) {
      Song song = {0};
      int  n    = 0;
      memset(&form, 0, sizeof(form));
      song.key    = rl_key_named(chance(12), false);
      song.player = (RlPlayer){(uint8_t)(reach & 3), (uint8_t)(reach >> 2 & 3), reach > 15};
      song.harp   = rl_harp_make((RlHarpChoice){(uint8_t)chance(12), 0, (RlTuning)tuning});
      for (int i = 0; i < 3; ++i) {
        n = bar_append(&song, i, 0, n, chance(12), chance(QUALITIES));
      }
      form.bars   = 3;
      song.chorus = n;
      rl_form_finish(&form);
      rl_target_line_find(&form, song.key, &song.harp, song.player, &room, &line);
      targets_check(&song);
      chorus_check(&song);
    }
  }
}

/* core/arrange/COSTS.md, "Where to land". */
static void
the_table_of_weights_is_the_documented_one(void **state)
{
  (void)state;
  assert_int_equal(RL_COST_SEMITONE, SEMITONE);
  assert_int_equal(RL_COST_HOLE, HOLE);
  assert_int_equal(RL_COST_STAY, STAY);
  assert_int_equal(RL_COST_GUIDE_TONE, GUIDE_TONE);
  assert_int_equal(RL_COST_ROOT, ROOT);
  assert_int_equal(RL_COST_FIFTH, FIFTH);
  assert_int_equal(RL_COST_BEND, BEND);
  assert_int_equal(RL_COST_OVER, OVER);
  assert_int_equal(RL_COST_HIGH, HIGH);
  assert_true(RL_COST_ROOT > 3 * RL_COST_BEND); /* a root costs more than any bend */
}

/* The two kinds of cost, by hand. MIDI: B4 71, Bb4 70, G4 67, D4 62. */
static void
steps_and_landings_cost_what_the_table_says(void **state)
{
  (void)state;
  const RlTarget b      = {3, RL_DRAW, RL_DEGREE_3, 71};
  const RlTarget b_flat = {3, RL_DRAW_1, RL_DEGREE_FLAT_7, 70};
  const RlTarget g_draw = {2, RL_DRAW, RL_DEGREE_ROOT, 67};
  const RlTarget g_blow = {3, RL_BLOW, RL_DEGREE_5, 67};
  const RlTarget over   = {6, RL_OVERBLOW, RL_DEGREE_FLAT_3, 82};
  const RlTarget six    = {6, RL_DRAW, RL_DEGREE_3, 81};
  const RlTarget seven  = {7, RL_DRAW, RL_DEGREE_3, 83};
  const RlTarget ninth  = {1, RL_DRAW, RL_DEGREE_9, 62};
  assert_int_equal(rl_target_line_step(b, b_flat), 2); /* a semitone */
  assert_int_equal(rl_target_line_step(b_flat, b), 2);
  assert_int_equal(rl_target_line_step(b, g_draw), 9);      /* four semitones, one hole */
  assert_int_equal(rl_target_line_step(b, b), 2);           /* the same note: a common tone */
  assert_int_equal(rl_target_line_step(g_draw, g_blow), 3); /* the same pitch one hole on */
  assert_int_equal(rl_target_line_landing(b), 0);
  assert_int_equal(rl_target_line_landing(b_flat), 2);
  assert_int_equal(rl_target_line_landing(g_draw), 12);
  assert_int_equal(rl_target_line_landing(g_blow), 14);
  assert_int_equal(rl_target_line_landing(over), 8);
  assert_int_equal(rl_target_line_landing(six), 0);
  assert_int_equal(rl_target_line_landing(seven), 8);
  assert_true(rl_target_line_landing(ninth) < 0);
}

/* One chorus in second position on a Richter harp of every key and register: `wanted` is the line
   in tab. */
static void
second_position_line_is(const char *const chart, const char *const wanted)
{
  RlChartError error;
  assert_true(rl_chart_read(rl_slice(chart), &form, &error));
  for (int i = 0; i < 36; ++i) {
    const RlHarp harp =
      rl_harp_make((RlHarpChoice){(uint8_t)(i / 3), (int8_t)(i % 3 - 1), RL_RICHTER});
    const RlKey song = rl_key_named((i / 3 + 7) % 12, false);
    char        buffer[256];
    RlText      text = rl_text_in(buffer, sizeof(buffer));
    assert_int_equal(rl_harp_position(i / 3, (i / 3 + 7) % 12), 2);
    rl_target_line_find(&form, song, &harp, (RlPlayer){3, 3, false}, &room, &line);
    for (int k = 0; k < form.changes; ++k) {
      rl_text_add(&text, k ? " " : "");
      rl_tab_write(line.target[k].hole, (RlTechnique)line.target[k].technique, &text);
    }
    assert_string_equal(buffer, wanted);
  }
}

/* Common practice, no source: in a twelve-bar in second position the line that tells the harmony
   goes from draw 3, the third of the one chord, down half a step by a bend to the flat seventh of
   the four chord. With a turnaround it lands on blow 4, the seventh of the five chord, before it
   begins again. */
static void
in_second_position_the_four_chord_is_the_draw_three_bend(void **state)
{
  (void)state;
  second_position_line_is("| I7  | %   | I7 | % |\n"
                          "| IV7 | %   | I7 | % |\n"
                          "| V7  | IV7 | I7 | % |\n",
                          "-3 -3' -3 4 -3' -3");
  second_position_line_is("| I7  | IV7 | I7 | %  |\n"
                          "| IV7 | %   | I7 | %  |\n"
                          "| V7  | IV7 | I7 | V7 |\n",
                          "-3 -3' -3 -3' -3 4 -3' -3 4");
}

/* core/arrange/COSTS.md: only notes that this player reaches count. */
static void
a_player_who_does_not_bend_gets_a_line_without_bends(void **state)
{
  (void)state;
  RlChartError error;
  assert_true(rl_chart_read(rl_slice("| I7 | IV7 | V7 | bVI7 |"), &form, &error));
  const RlHarp harp = rl_harp_make((RlHarpChoice){0, 0, RL_RICHTER});
  rl_target_line_find(&form, rl_key_named(7, false), &harp, (RlPlayer){0, 0, false}, &room, &line);
  for (int i = 0; i < form.changes; ++i) {
    assert_true(line.target[i].hole > 0);
    assert_true(line.target[i].technique == RL_BLOW || line.target[i].technique == RL_DRAW);
  }
}

/* core/arrange/target_line.h, RlTarget: no hole for N.C.; a song of nothing else has no line. */
static void
without_chords_there_is_no_line(void **state)
{
  (void)state;
  RlChartError error;
  assert_true(
    rl_chart_read(rl_slice("choruses: 1\n| N.C. | % |\n[ending]\n| N.C. | I7 |"), &form, &error));
  const RlHarp harp = rl_harp_make((RlHarpChoice){0, 0, RL_RICHTER});
  memset(&line, 0xA5, sizeof(line));
  rl_target_line_find(&form, rl_key_named(7, false), &harp, (RlPlayer){3, 3, true}, &room, &line);
  assert_int_equal(form.changes + form.ending_changes, 3);
  assert_int_equal(line.target[0].hole, 0);
  assert_int_equal(line.target[1].hole, 0);
  /* I7 alone: its third or seventh on the lowest hole that has one unbent (G7 on a C harp: B) */
  assert_int_equal(line.target[2].hole, 3);
  assert_int_equal(line.target[2].technique, RL_DRAW);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(the_line_is_the_one_an_exhaustive_search_finds),
    cmocka_unit_test(the_line_is_the_cheapest_on_every_tuning_for_every_player),
    cmocka_unit_test(the_table_of_weights_is_the_documented_one),
    cmocka_unit_test(steps_and_landings_cost_what_the_table_says),
    cmocka_unit_test(in_second_position_the_four_chord_is_the_draw_three_bend),
    cmocka_unit_test(a_player_who_does_not_bend_gets_a_line_without_bends),
    cmocka_unit_test(without_chords_there_is_no_line),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
