/* SPDX-License-Identifier: ISC */
/* A QR code in a terminal (ISO/IEC 18004, by libqrencode). */
#ifndef RL_UI_PAGE_QR_H
#define RL_UI_PAGE_QR_H

#include <stdbool.h>
#include <stdio.h>

/** Prints `text` as a QR code, two modules a character, with the quiet zone that readers need.
    `coloured`: black on white whatever the terminal's colours are; otherwise the light modules are
    drawn, which suits a dark terminal. False if there is no memory. */
bool rl_qr_print(const char *text, bool coloured, FILE *to);

#endif
