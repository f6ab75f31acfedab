/* SPDX-License-Identifier: ISC */
/* Who may see the page: the key of letters, the words, and how often they may be wrong. */
#include "ui/page/access.h"
#include "ui/page/guesses.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#define KEY   "abcdefghijkm"
#define WORDS "barn-lamp-reed-tulip"

static RlAccess
access_make(void)
{
  RlAccess access = {0};
  assert_true(rl_access_read_keys(&access, KEY "-" WORDS));
  rl_access_add_host(&access, "lamp:9912");
  return access;
}

/* ---- words ---- */

/* How many letters must be changed, put in or left out (Levenshtein 1966). */
static int
distance(const char *const a, const char *const b)
{
  int       row[16];
  const int n = (int)strlen(b);
  for (int j = 0; j <= n; ++j) {
    row[j] = j;
  }
  for (int i = 1; a[i - 1]; ++i) {
    int corner = row[0];
    row[0]     = i;
    for (int j = 1; j <= n; ++j) {
      const int change = corner + (a[i - 1] != b[j - 1]);
      const int other  = (row[j] < row[j - 1] ? row[j] : row[j - 1]) + 1;
      corner           = row[j];
      row[j]           = change < other ? change : other;
    }
  }
  return row[n];
}

static void
no_two_words_are_alike(void **const state)
{
  (void)state;
  int count = 0;
  for (const char *a; (a = rl_words_list(count)); ++count) {
    const size_t length = strlen(a);
    assert_in_range(length, 3, RL_WORD_SIZE - 1);
    assert_int_equal(strspn(a, "abcdefghijklmnopqrstuvwxyz"), length);
    for (int j = 0; j < count; ++j) {
      const char *const b = rl_words_list(j);
      if (distance(a, b) < 2 || !strncmp(a, b, strlen(b)) || strcmp(a, b) <= 0) {
        fail_msg("%s and %s", b, a);
      }
    }
  }
  assert_int_equal(count, 512);
}

static void
random_words_are_from_the_list_and_all_of_it(void **const state)
{
  (void)state;
  enum { TIMES = 4000 };
  char words[RL_WORDS_SIZE], again[RL_WORDS_SIZE];
  bool seen[512] = {false};
  int  different = 0;
  for (int i = 0; i < TIMES; ++i) {
    assert_true(rl_words_make(words));
    assert_true(rl_words_known(words) && rl_words_read(words, again));
    assert_memory_equal(words, again, RL_WORDS_SIZE);
    for (char *at = strtok(again, "-"); at; at = strtok(NULL, "-")) {
      int n = 0;
      while (strcmp(rl_words_list(n), at) != 0) {
        ++n;
      }
      different += !seen[n];
      seen[n] = true;
    }
  }
  assert_int_equal(different, 512); /* one is left out with a chance of 512 e^-31 */
}

static void
words_are_read_as_people_type_them(void **const state)
{
  (void)state;
  static const char *const good[] = {
    "barn lamp reed tulip",      "Barn Lamp Reed Tulip", "BARN-LAMP-REED-TULIP",
    "  barn, lamp. reed;tulip ", "barn+lamp+reed+tulip", "barn\xE2\x80\x93lamp reed tulip",
    "barn-lamp-reed-tulip/",
  };
  static const char *const bad[] = {
    "",
    " ",
    "barn lamp reed",
    "barn lamp reed tulip north",
    "barnlampreedtulip",
    "barn lamp reed tulips and many more letters than any of them has",
    "barn/lamp/reed/tulip",
    "barn lamp reed 2lip",
    "/barn lamp reed tulip",
  };
  char words[RL_WORDS_SIZE];
  for (size_t i = 0; i < sizeof(good) / sizeof(good[0]); ++i) {
    if (!rl_words_read(good[i], words) || strcmp(words, WORDS) != 0) {
      fail_msg("%s", good[i]);
    }
  }
  for (size_t i = 0; i < sizeof(bad) / sizeof(bad[0]); ++i) {
    if (rl_words_read(bad[i], words)) {
      fail_msg("%s", bad[i]);
    }
  }
  assert_true(rl_words_read("abcdef abcdef abcdef abcdef", words));
  assert_int_equal(strlen(words), RL_WORDS_SIZE - 1);
  assert_false(rl_words_read("abcdef abcdef abcdef abcdefg", words));
}

/* ---- keys ---- */

static void
both_keys_are_one_text(void **const state)
{
  (void)state;
  static const char *const bad[] = {
    "",
    KEY,
    KEY "-",
    KEY "-barn-lamp-reed",
    KEY "-barn-lamp-reed-zzzz",
    "abcdefghijkl-" WORDS,
    "abcdefghijk-" WORDS,
    "abcdefghijkmn-" WORDS,
    KEY WORDS,
    "-" WORDS,
    WORDS,
  };
  char     text[RL_ACCESS_KEYS_SIZE];
  RlAccess made = {0}, read = {0};
  for (int i = 0; i < 100; ++i) {
    assert_true(rl_access_make_key(&made));
    rl_access_write_keys(&made, text);
    assert_true(rl_access_read_keys(&read, text));
    assert_memory_equal(made.key, read.key, sizeof(made.key));
    assert_memory_equal(made.words, read.words, sizeof(made.words));
  }
  for (size_t i = 0; i < sizeof(bad) / sizeof(bad[0]); ++i) {
    if (rl_access_read_keys(&read, bad[i])) {
      fail_msg("%s", bad[i]);
    }
  }
}

static RlAccessAnswer
judged(const RlAccess *const access, const char *const path, const char *const words)
{
  int                   file = 0;
  const RlAccessRequest r    = {"GET", path, words, "lamp:9912", 1};
  return rl_access_judge(access, &r, &file);
}

static void
words_lead_to_the_page_and_nowhere_else(void **const state)
{
  (void)state;
  const RlAccess access = access_make();
  static const struct {
    const char    *path, *words;
    RlAccessAnswer answer;
  } table[] = {
    {"/", NULL, RL_ACCESS_DOOR},
    {"/", "", RL_ACCESS_DOOR},
    {"/", "barn lamp", RL_ACCESS_DOOR},
    {"/", "Barn Lamp Reed Tulip", RL_ACCESS_RIGHT_WORDS},
    {"/", "barn lamp reed tuna", RL_ACCESS_WRONG_WORDS},
    {"/", "barn lamp reed tulipa", RL_ACCESS_WRONG_WORDS},
    {"/barn-lamp-reed-tulip", NULL, RL_ACCESS_RIGHT_WORDS},
    {"/barn lamp reed tulip/", NULL, RL_ACCESS_RIGHT_WORDS},
    {"/barn-lamp-reed-tulip/news", NULL, RL_ACCESS_NOT_FOUND},
    {"/barn-lamp-reed-tuna", NULL, RL_ACCESS_WRONG_WORDS},
    {"/news", WORDS, RL_ACCESS_NOT_FOUND},
    {"/favicon.ico", NULL, RL_ACCESS_NOT_FOUND},
    {"/abcdefghijkn/news", NULL, RL_ACCESS_NOT_FOUND}, /* an old page's key */
    {"/ab2de4ghijkn/sheet.pdf", NULL, RL_ACCESS_NOT_FOUND},
    {"/abcdefghijkm/", NULL, RL_ACCESS_FILE},
    {"/abcdefghijkm", NULL, RL_ACCESS_REDIRECT},
    {"/abcdefghijkm/news", NULL, RL_ACCESS_STREAM},
    {"/abcdefghijkm/code", NULL, RL_ACCESS_CODE},
    {"/code", NULL, RL_ACCESS_NOT_FOUND},
  };
  for (size_t i = 0; i < sizeof(table) / sizeof(table[0]); ++i) {
    if (judged(&access, table[i].path, table[i].words) != table[i].answer) {
      fail_msg("%s %s", table[i].path, table[i].words ? table[i].words : "");
    }
  }
}

static void
without_a_key_no_words_are_asked_for(void **const state)
{
  (void)state;
  RlAccess access = {0};
  rl_access_add_host(&access, "lamp:9912");
  assert_int_equal(judged(&access, "/", NULL), RL_ACCESS_FILE);
  assert_int_equal(judged(&access, "/", WORDS), RL_ACCESS_FILE);
  assert_int_equal(judged(&access, "/" WORDS, NULL), RL_ACCESS_NOT_FOUND);
}

/* ---- wrong words ---- */

static void
wrong_words_are_slowed_down(void **const state)
{
  RlGuesses *const g      = *state;
  double           t      = 100;
  int              looked = 0;
  for (int i = 0; i < RL_GUESSES_TRIES; ++i) {
    assert_int_equal(rl_guesses_wait(g, 7, t), 0);
    rl_guesses_wrong(g, 7, t);
  }
  assert_in_range(rl_guesses_wait(g, 7, t), 1, RL_GUESSES_INTERVAL + 1);
  assert_int_equal(rl_guesses_wait(g, 8, t), 0); /* nobody else */
  for (int i = 0; i < 360000; ++i) {             /* a hundred a second for an hour */
    t = 100 + 0.01 * i;
    if (!rl_guesses_wait(g, 7, t)) {
      rl_guesses_wrong(g, 7, t);
      ++looked;
    }
  }
  assert_in_range(looked, 700, 3600 / RL_GUESSES_INTERVAL + 1);
  t += rl_guesses_wait(g, 7, t);
  assert_int_equal(rl_guesses_wait(g, 7, t), 0);
  t += RL_GUESSES_TRIES * RL_GUESSES_INTERVAL; /* forgiven */
  for (int i = 0; i < RL_GUESSES_TRIES; ++i) {
    assert_int_equal(rl_guesses_wait(g, 7, t), 0);
    rl_guesses_wrong(g, 7, t);
  }
}

static void
many_guess_slowly_and_lock_nobody_out(void **const state)
{
  RlGuesses *const g      = *state;
  long             looked = 0;
  enum { MANY = 60000, SECONDS = 60 };
  for (int second = 0; second < SECONDS; ++second) {
    if (second % RL_GUESSES_INTERVAL == 0) { /* somebody who mistyped before all that goes on */
      assert_int_equal(rl_guesses_wait(g, 5, 99.5 + second), 0);
      rl_guesses_wrong(g, 5, 99.5 + second);
    }
    for (uint32_t from = 1000; from < 1000 + MANY; from += 7) {
      const double t = 100 + second;
      if (!rl_guesses_wait(g, from, t)) {
        rl_guesses_wrong(g, from, t);
        ++looked;
      }
    }
  }
  /* each place's tries at first, then one in RL_GUESSES_INTERVAL */
  assert_in_range(looked, 1,
                  (RL_GUESSES_ADDRESSES + 1) * (RL_GUESSES_TRIES + SECONDS / RL_GUESSES_INTERVAL));
}

static int
guesses_make(void **const state)
{
  *state = calloc(1, sizeof(RlGuesses));
  return !*state;
}

static int
guesses_free(void **const state)
{
  free(*state);
  return 0;
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(no_two_words_are_alike),
    cmocka_unit_test(random_words_are_from_the_list_and_all_of_it),
    cmocka_unit_test(words_are_read_as_people_type_them),
    cmocka_unit_test(both_keys_are_one_text),
    cmocka_unit_test(words_lead_to_the_page_and_nowhere_else),
    cmocka_unit_test(without_a_key_no_words_are_asked_for),
    cmocka_unit_test_setup_teardown(wrong_words_are_slowed_down, guesses_make, guesses_free),
    cmocka_unit_test_setup_teardown(many_guess_slowly_and_lock_nobody_out, guesses_make,
                                    guesses_free),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
