/* SPDX-License-Identifier: ISC */
/* QR codes (ISO/IEC 18004, by libqrencode), with the quiet zone that the standard asks for. */
#ifndef RL_UI_PAGE_QR_H
#define RL_UI_PAGE_QR_H

#include <stdbool.h>
#include <stdio.h>

/** Prints `text` in a terminal, two modules a character. `coloured`: black on white whatever the
    terminal's colours are; otherwise the light modules are drawn, which suits a dark terminal.
    False if there is no memory. */
bool rl_qr_print(const char *text, bool coloured, FILE *to);

/** The same as a picture in SVG, for a page in HTML. */
bool rl_qr_draw(const char *text, FILE *to);

#endif
