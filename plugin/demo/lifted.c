/* SPDX-License-Identifier: ISC */
#include "plugin/demo/lifted.h"

#include <stdint.h>
#include <string.h>

enum { ROWS = 72, LOWEST = 40, COLUMNS = 160, QUARTER = COLUMNS / 8, PARTS = 4 };

const char rl_lifted_take[] = "bar 2: Take 1\n"
                              "\n"
                              "X:1\nT:Take 1\nN:10 notes, swung (.62), 14 ms behind the beat\n"
                              "N:sure .99 .97 .34 .98 .93 .96 .88 .97 .41 .97\nM:4/4\nL:1/8\nK:G\n"
                              "\"C7\"G2 (3c_BG !slide!E2 C2|\"G7\"DG (3z2G\"^fall\"B2 z2|\n";

/* What sounds: where it begins and ends, in twelfths of a quarter; the MIDI number; how loud. The
   third and the eighth are echoes of the band. */
static const struct {
  int from, to, midi, loud;
} sounds[] = {{0, 11, 67, 220},  {12, 16, 72, 210}, {16, 20, 70, 90},  {20, 24, 67, 200},
              {24, 35, 64, 215}, {36, 47, 60, 205}, {48, 54, 62, 190}, {54, 60, 67, 200},
              {68, 72, 67, 80},  {72, 83, 71, 210}};

static void
cell_add(uint8_t *const cell, const int midi, const int loud)
{
  const int row = midi - LOWEST;
  if (row >= 0 && row < ROWS) {
    cell[row] = (uint8_t)(cell[row] + loud > 255 ? 255 : cell[row] + loud);
  }
}

/* A note with its octave and the fifth above, and what leaks into the half steps beside it. */
static void
note_add(uint8_t *const cell, const int midi, const int loud)
{
  cell_add(cell, midi, loud);
  cell_add(cell, midi + 1, loud / 5);
  cell_add(cell, midi - 1, loud / 5);
  cell_add(cell, midi + 12, loud / 2);
  cell_add(cell, midi + 19, loud / 3);
}

static void
column_make(uint8_t *const cell, const int column)
{
  static uint32_t noise = 1;
  const int       at    = column * 12 / QUARTER;
  for (int row = 0; row < ROWS; ++row) {
    noise     = noise * 1664525U + 1013904223U;
    cell[row] = (uint8_t)((noise >> 24) / (row < 16 ? 3 : 8));
  }
  for (size_t i = 0; i < sizeof(sounds) / sizeof(sounds[0]); ++i) {
    if (at >= sounds[i].from && at < sounds[i].to) {
      note_add(cell, sounds[i].midi, sounds[i].loud);
    }
  }
}

void
rl_lifted_picture(RlController *const controller)
{
  static uint8_t    cell[COLUMNS * ROWS];
  RlViewPicturePart part = {.rows    = ROWS,
                            .lowest  = LOWEST,
                            .columns = COLUMNS,
                            .begins  = 0,
                            .ends    = 8,
                            .count   = COLUMNS / PARTS};
  strcpy(part.title, "Take 1");
  for (int i = 0; i < COLUMNS; ++i) {
    column_make(cell + (ptrdiff_t)i * ROWS, i);
  }
  for (int i = 0; i < PARTS; ++i) {
    part.first = i * part.count;
    part.cell  = cell + (ptrdiff_t)part.first * ROWS;
    rl_controller_hear_picture(controller, &part);
  }
}
