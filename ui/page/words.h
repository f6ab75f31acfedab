/* SPDX-License-Identifier: ISC */
/* Four short words as a key that can be typed: `barn-lamp-reed-tulip`. Each is one of 512, so all
   four together are 36 random bits. Any thread. */
#ifndef RL_UI_PAGE_WORDS_H
#define RL_UI_PAGE_WORDS_H

#include <stdbool.h>

enum {
  RL_WORDS      = 4,
  RL_WORD_SIZE  = 7,                      /**< bytes of one with its NUL */
  RL_WORDS_SIZE = RL_WORDS * RL_WORD_SIZE /**< of all, a hyphen between two, with the NUL */
};

/** Makes four random words. False if the system has no random numbers. */
bool rl_words_make(char words[RL_WORDS_SIZE]);

/** From what a person typed, in capitals or not, with anything but digits between the words and
    perhaps a slash behind them. The rest of `words` becomes zero. False if these are not four
    words, or too long. */
bool rl_words_read(const char *text, char words[RL_WORDS_SIZE]);

/** Are all of them from our list? */
bool rl_words_known(const char *words);

/** A word of the list, NULL behind its end. */
const char *rl_words_list(int number);

#endif
