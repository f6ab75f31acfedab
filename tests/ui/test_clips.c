/* SPDX-License-Identifier: ISC */
/* Recordings in the folder of phrases: listed by their names, lifted in the background, written
   down on a beat of their own; what is broken says so, and what to do. Source:
   core/capture/TAKES.md, "Recordings". */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "core/phrase/sure.h"
#include "tests/core/ear/horn.h"
#include "ui/files/clip_lift.h"
#include "ui/files/library.h"

#include <sndfile.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <time.h>
#include <unistd.h>

enum { RATE = 44100 };

static char       folder[] = "/tmp/reedlamp-clips-XXXXXX";
static RlClipLift result;

static void
path_of(const char *const name, char path[128])
{
  snprintf(path, 128, "%s/%s", folder, name);
}

/* The line, `times` over, five seconds each. */
static void
record_write(const char *const name, const int format, const int times)
{
  char         path[128];
  SF_INFO      info = {.samplerate = RATE, .channels = 2, .format = format};
  size_t       frames;
  float *const sound = horn_record(RATE, 1, 0.4, 0.3, &frames);
  path_of(name, path);
  SNDFILE *const file = sf_open(path, SFM_WRITE, &info);
  assert_non_null(file);
  for (int i = 0; i < times; ++i) {
    assert_int_equal(sf_writef_float(file, sound, (sf_count_t)frames), (sf_count_t)frames);
  }
  sf_close(file);
  free(sound);
}

static void
bytes_write(const char *const name, const char *const bytes, const size_t size)
{
  char path[128];
  path_of(name, path);
  FILE *const file = fopen(path, "wb");
  assert_non_null(file);
  assert_int_equal(fwrite(bytes, 1, size, file), size);
  fclose(file);
}

static void
remove_all(const char *const *const names, const int count)
{
  for (int i = 0; i < count; ++i) {
    char path[128];
    path_of(names[i], path);
    unlink(path);
  }
}

static void
lift(const char *const name, const char *const title)
{
  const struct timespec pause = {0, 5000000};
  RlClipLift           *l;
  RlBackground *const   background = rl_clip_lift_begin(folder, name, title, &l);
  assert_non_null(background);
  for (int i = 0; i < 12000 && !rl_background_done(background); ++i) {
    nanosleep(&pause, NULL);
  }
  assert_true(rl_background_done(background));
  result = *l;
  rl_background_end(background);
}

static void
is_the_line(void)
{
  const RlPhrase *const p = &result.notated.phrase;
  uint8_t               sure[RL_PHRASE_NOTES_MAX];
  assert_true(result.good);
  assert_int_equal(p->notes, HORN_NOTES);
  assert_true(rl_phrase_sure_read(p, sure));
  for (int i = 0; i < HORN_NOTES; ++i) {
    assert_int_equal(rl_phrase_pitch(p, &p->note[i]), horn_line[i][2]);
  }
}

static void
wav_flac_and_ogg_become_tunes(void **const state)
{
  static const char *const names[] = {"line.wav", "Line.FLAC", "line 120 bpm.ogg"};
  static const int formats[] = {SF_FORMAT_WAV | SF_FORMAT_PCM_16, SF_FORMAT_FLAC | SF_FORMAT_PCM_24,
                                SF_FORMAT_OGG | SF_FORMAT_VORBIS};
  (void)state;
  for (int i = 0; i < 3; ++i) {
    record_write(names[i], formats[i], 1);
    lift(names[i], "Line");
    is_the_line();
    assert_string_equal(result.notated.phrase.title, "Line");
    assert_true(strstr(result.notated.phrase.fields,
                       i == 2 ? "; bar 1 and key guessed\n" : "; tempo, bar 1 and key guessed\n"));
  }
  assert_true(result.notated.phrase.tempo == 120);
  remove_all(names, 3);
}

static void
of_a_long_one_the_first_minute_is_heard(void **const state)
{
  static const char *const names[] = {"long.wav"};
  (void)state;
  record_write(names[0], SF_FORMAT_WAV | SF_FORMAT_PCM_16, 14);
  lift(names[0], "Long");
  assert_true(result.good && result.notated.phrase.notes > 8 * HORN_NOTES);
  assert_true(strstr(result.notated.phrase.fields, "; its first 60 seconds\n"));
  remove_all(names, 1);
}

static void
of_an_ogg_that_breaks_off_the_rest_is_heard(void **const state)
{
  static const char *const names[] = {"cut.ogg"};
  char                     path[128];
  struct stat              file;
  (void)state;
  record_write(names[0], SF_FORMAT_OGG | SF_FORMAT_VORBIS, 4);
  path_of(names[0], path);
  assert_int_equal(stat(path, &file), 0);
  assert_int_equal(truncate(path, file.st_size * 2 / 3), 0); /* its last page says how long it is */
  lift(names[0], "Cut");
  assert_string_equal(result.why, "");
  assert_true(result.good && result.notated.phrase.notes >= 2 * HORN_NOTES);
  assert_true(truncate(path, 200) == 0);
  lift(names[0], "Cut");
  assert_string_equal(result.why, "cut.ogg: is no sound that can be read, or damaged; export it "
                                  "again as WAV or FLAC");
  remove_all(names, 1);
}

static void
what_cannot_be_heard_says_so_by_name(void **const state)
{
  static const char *const names[] = {"broken.wav", "silent.wav", "none.wav"};
  static const char        riff[]  = "RIFF\x10\0\0\0WAVEfmt nothing";
  char                     path[128];
  (void)state;
  bytes_write(names[0], riff, sizeof(riff));
  lift(names[0], "Broken");
  assert_true(!result.good && !strncmp(result.why, "broken.wav: ", 12));
  assert_true(strstr(result.why, "; export it again as WAV or FLAC"));
  SF_INFO info = {.samplerate = RATE, .channels = 1, .format = SF_FORMAT_WAV | SF_FORMAT_PCM_16};
  SNDFILE *const file = (path_of(names[1], path), sf_open(path, SFM_WRITE, &info));
  float *const   rest = calloc(RATE, sizeof(float));
  assert_true(file && rest && sf_writef_float(file, rest, RATE) == RATE);
  sf_close(file);
  free(rest);
  lift(names[1], "Silent");
  assert_string_equal(result.why,
                      "silent.wav: no notes are heard in it; cut it to where the horn plays");
  lift(names[2], "None");
  assert_true(!result.good && !strncmp(result.why, "none.wav: ", 10));
  remove_all(names, 2);
}

static void
names_say_the_tempo(void **const state)
{
  static const struct {
    const char *name;
    double      tempo;
  } names[] = {{"ferry 120 bpm.wav", 120}, {"96bpm.flac", 96},   {"coal-72-BPM take.ogg", 72},
               {"ferry.wav", 0},           {"ferry 120.wav", 0}, {"a120bpm.wav", 0},
               {"9 bpm.wav", 0},           {"900bpm.wav", 0},    {"2 and 90_bpm.wav", 90}};
  (void)state;
  for (size_t i = 0; i < sizeof(names) / sizeof(names[0]); ++i) {
    assert_true(rl_clip_lift_tempo(names[i].name) == names[i].tempo);
  }
}

static void
the_library_lists_them(void **const state)
{
  static const char *const names[] = {"Coal, barge.ogg", "a.txt", "b.wav"};
  RlLibrary                l       = {0};
  RlPhrase                 scratch;
  (void)state;
  for (int i = 0; i < 3; ++i) {
    bytes_write(names[i], "x", 1);
  }
  rl_library_read(&l, folder, NULL);
  assert_int_equal(l.count, 2);
  assert_string_equal(l.phrase[0].title, "Coal  barge");
  assert_string_equal(l.phrase[1].title, "b");
  for (int i = 0; i < 2; ++i) {
    assert_true(l.phrase[i].midi && l.phrase[i].clip && l.phrase[i].own);
    rl_library_look(&l, i, &scratch);
    assert_int_equal(l.phrase[i].left, 0);
  }
  assert_string_equal(rl_library_file_name(&l, l.phrase[1].file), "b.wav");
  assert_string_equal(l.problem, "");
  rl_library_free(&l);
  remove_all(names, 3);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(wav_flac_and_ogg_become_tunes),
    cmocka_unit_test(of_a_long_one_the_first_minute_is_heard),
    cmocka_unit_test(of_an_ogg_that_breaks_off_the_rest_is_heard),
    cmocka_unit_test(what_cannot_be_heard_says_so_by_name),
    cmocka_unit_test(names_say_the_tempo),
    cmocka_unit_test(the_library_lists_them),
  };
  if (!mkdtemp(folder)) {
    return 1;
  }
  const int failed = cmocka_run_group_tests(tests, NULL, NULL);
  rmdir(folder);
  return failed;
}
