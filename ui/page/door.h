/* SPDX-License-Identifier: ISC */
/* The two pages that the server makes itself: where the words are typed, and the code to scan for
   a beamer. The texts are to be freed; NULL if there is no memory. Any thread. */
#ifndef RL_UI_PAGE_DOOR_H
#define RL_UI_PAGE_DOOR_H

#include <stddef.h>

/** Asks for the words; `said` stands above the field. */
char *rl_door_page(const char *said, size_t *length);

/** The code for `address`, large, black on white, with the address of the door and the words in
    letters below it; no words: only the address. */
char *rl_door_code(const char *address, const char *door, const char *words, size_t *length);

#endif
