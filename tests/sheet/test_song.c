/* SPDX-License-Identifier: ISC */
/* What the lesson sheet has of songs whose phrases overlap: in every bar of every chorus what is to
   be heard there, one phrase at a time, under the right choruses; and what is cut, in words. */
#include "tests/core/arrange/overlaps.h"
#include "ui/paper/compose.h"
#include "ui/paper/song.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

static RlForm          form;
static RlPlan          plan;
static RlPhrase        phrase;
static RlLane          lane;
static RlLaneWorkspace workspace;
static RlSheet         sheet;
static Song            song;

static void
song_take(const char *const chart, const char *const text)
{
  RlChartError wrong;
  RlPlanError  error;
  assert_true(rl_chart_read(rl_slice(chart), &form, &wrong));
  assert_true(rl_plan_read(rl_slice(text), &phrase, &plan, &error));
  sheet = (RlSheet){.form      = &form,
                    .plan      = &plan,
                    .lane      = &lane,
                    .workspace = &workspace,
                    .key       = form.key,
                    .harp      = {10, 0, RL_RICHTER},
                    .player    = {3, 3, true}};
  rl_lane_make(&plan, &form, sheet.key, sheet.harp, sheet.player, &workspace, &lane);
}

/* ---- bars ---- */

/* The end of the note at `i`, and of those that begin with it: at the latest where the next
   begins. */
static double
end_of(const int i)
{
  const SongNote *const n   = &song.note[i];
  double                end = n->at + n->lasts;
  for (int k = 0; k < song.count; ++k) {
    end = song.note[k].at > n->at && song.note[k].at < end ? song.note[k].at : end;
  }
  return end;
}

/* The sounds of a bar as the slow search has them. */
static void
bar_check(const int seed, const int n, const int chorus)
{
  RlSongSound     sounds[RL_SOUNDS_MAX];
  const RlSongBar bar  = rl_song_bar(&sheet, n);
  const bool      once = n < 0 || n >= form.bars;
  const double    shift =
    once ? 0 : (chorus - 1) * form.starts[RL_AXIS_QUARTERS][form.bars] * RL_TICKS;
  const int count = rl_song_sounds(&sheet, &bar, chorus, sounds);
  int       at    = 0;
  for (int i = 0; i < song.count; ++i) {
    const double from = song.note[i].at - shift - bar.from;
    const double to   = end_of(i) - shift - bar.from;
    if (from >= bar.to - bar.from || to <= 0 ||
        (i && song.note[i].at == song.note[i - 1].at)) { /* elsewhere, or one of several at once */
      continue;
    }
    if (at >= count || sounds[at].sound.at != lround(from) ||
        sounds[at].sound.lasts != lround(to - from) || sounds[at].note[0] != song.note[i].index) {
      fail_msg("song %d, bar %d, chorus %d, sound %d\n%s\n%s", seed, n + 1, chorus, at, form.text,
               plan.text);
    }
    ++at;
  }
  assert_int_equal(at, count);
}

static bool
same_bar(const int n, const int a, const int b)
{
  RlSongSound     one[RL_SOUNDS_MAX], other[RL_SOUNDS_MAX];
  const RlSongBar bar   = rl_song_bar(&sheet, n);
  const int       count = rl_song_sounds(&sheet, &bar, a, one);
  if (rl_song_sounds(&sheet, &bar, b, other) != count) {
    return false;
  }
  for (int i = 0; i < count; ++i) {
    if (one[i].sound.at != other[i].sound.at || one[i].sound.lasts != other[i].sound.lasts ||
        one[i].note[0] != other[i].note[0]) {
      return false;
    }
  }
  return true;
}

/* Does `choruses 1 3` or `all choruses but 2` name that chorus? */
static bool
names(const char *const name, const int chorus)
{
  char number[16];
  char padded[300];
  snprintf(number, sizeof(number), " %d ", chorus);
  snprintf(padded, sizeof(padded), "%s ", name);
  const bool listed = strstr(padded, number) != NULL;
  return !name[0] || (strncmp(name, "all ", 4) != 0 ? listed : !listed);
}

/* Each chorus has exactly one version of a bar, and it is what sounds in it. */
static void
versions_check(const int seed, const int n, const int choruses)
{
  static RlSongVersion versions[RL_SONG_VERSIONS_MAX];
  RlSongSound          sounds[RL_SOUNDS_MAX];
  const RlSongBar      bar  = rl_song_bar(&sheet, n);
  const int            some = rl_song_versions(&sheet, n, 1, versions);
  for (int c = 1; c <= choruses; ++c) {
    int found = 0;
    for (int v = 0; v < some; ++v) {
      if (names(versions[v].name, c)) {
        ++found;
        if (!same_bar(n, c, versions[v].chorus)) {
          fail_msg("song %d, bar %d, chorus %d: %s\n%s\n%s", seed, n + 1, c, versions[v].name,
                   form.text, plan.text);
        }
      }
    }
    if (found != (rl_song_sounds(&sheet, &bar, c, sounds) > 0)) {
      fail_msg("song %d, bar %d, chorus %d: %d versions\n%s\n%s", seed, n + 1, c, found, form.text,
               plan.text);
    }
  }
}

static void
every_bar_of_ten_thousand_songs_has_what_is_heard(void **state)
{
  const int songs = getenv("REEDLAMP_FEW") ? 500 : 10000;
  (void)state;
  for (int seed = 0; seed < songs; ++seed) {
    char   chart[1024], text[4096];
    RlText head  = rl_text_in(chart, sizeof(chart));
    RlText lines = rl_text_in(text, sizeof(text));
    overlaps_write((uint32_t)seed, &head, &lines);
    song_take(chart, text);
    const int choruses = form.choruses ? form.choruses : seed % 20 ? 4 : 40;
    song_play(&plan, &form, &lane, form.choruses ? choruses : choruses + 2, &song);
    for (int n = -rl_song_pickup_bars(&sheet); n < form.bars + form.ending_bars; ++n) {
      const bool once = n < 0 || n >= form.bars;
      for (int c = 1; c <= (once ? 1 : choruses); ++c) {
        bar_check(seed, n, c);
      }
      if (!once) {
        versions_check(seed, n, choruses);
      }
    }
  }
}

/* ---- words ---- */

static char all_words[16384];

static void
watch(void *const data, const char *const text, const RlRect ink, const RlRect box,
      const double size)
{
  (void)data;
  (void)ink;
  (void)box;
  (void)size;
  const size_t used = strlen(all_words);
  snprintf(all_words + used, sizeof(all_words) - used, "%s ", text);
}

static void
says(const char *const words)
{
  cairo_surface_t *const to = cairo_image_surface_create(CAIRO_FORMAT_RGB24, 8, 8);
  cairo_t *const         cr = cairo_create(to);
  all_words[0]              = '\0';
  rl_sheet_fit(&sheet);
  rl_sheet_draw(&sheet, 0, cr, rl_text_cache(), watch, NULL);
  cairo_destroy(cr);
  cairo_surface_destroy(to);
  if (!strstr(all_words, words)) {
    fail_msg("nowhere \"%s\" in: %s", words, all_words);
  }
}

#define TUNES                                                                                      \
  "\nX:1\nT:Down the Steps\nM:4/4\nL:1/8\nK:D\n\"D7\"d2 (3cBA F2 D2|\n"                            \
  "\nX:2\nT:Tide Bell\nM:4/4\nL:1/8\nK:G\nGA|\"G7\"B2 d2 z4|\n"

static void
what_is_cut_is_said_below_the_rows(void **state)
{
  static const char chart[] = "key: G\nchoruses: 3\n| I7 | IV7 | V7 | I7 |\n";
  (void)state;
  song_take(chart, "bar 1: Tide Bell\nbar 4: Down the Steps\n" TUNES);
  says("cut short in choruses 1 2 by bar 1: Tide Bell; 1 note is lost");
  song_take(chart, "bar 2: Tide Bell\nbar 2: Down the Steps, chorus 2\n" TUNES);
  says("not played in chorus 2, because of bar 2: Down the Steps");
  song_take(chart, "bar 2: Tide Bell\nbar 2: Down the Steps\n" TUNES);
  says("; not played, because of bar 2: Down the Steps");
  song_take(chart, "bar 4 beat 4: Down the Steps\n" TUNES);
  says("cut short in chorus 3 by the end of the song; 5 notes are lost");
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(every_bar_of_ten_thousand_songs_has_what_is_heard),
    cmocka_unit_test(what_is_cut_is_said_below_the_rows),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
