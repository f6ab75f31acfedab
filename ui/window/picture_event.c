/* SPDX-License-Identifier: ISC */
#include "ui/window/picture_event.h"

#include <math.h>
#include <string.h>

/* A number of the part, and where it goes. */
static void
number_read(const RlUris *const u, const LV2_URID key, const double number,
            RlViewPicturePart *const p)
{
  const struct {
    LV2_URID key;
    int     *to;
    int      most;
  } whole[] = {{u->rl_rows, &p->rows, RL_VIEW_PICTURE_ROWS},
               {u->rl_lowest, &p->lowest, 127},
               {u->rl_columns, &p->columns, RL_VIEW_PICTURE_COLUMNS},
               {u->rl_first, &p->first, RL_VIEW_PICTURE_COLUMNS - 1}};
  for (size_t i = 0; i < sizeof(whole) / sizeof(whole[0]); ++i) {
    if (key == whole[i].key) {
      *whole[i].to = number >= 0 && number <= whole[i].most ? (int)number : -1;
    }
  }
  p->begins = key == u->rl_begins ? number : p->begins;
  p->ends   = key == u->rl_ends ? number : p->ends;
}

static void
title_read(const RlAtom *const value, RlViewPicturePart *const p)
{
  const uint32_t length = rl_string_length(value);
  if (length < sizeof(p->title)) {
    memcpy(p->title, value->body, length);
    p->title[length] = '\0';
  }
}

bool
rl_picture_event_read(const RlUris *const u, RlWalk walk, RlViewPicturePart *const p)
{
  LV2_URID key;
  RlAtom   value;
  uint32_t size = 0;
  *p            = (RlViewPicturePart){.lowest = -1, .first = -1};
  while (rl_property_next(&walk, &key, &value)) {
    double number = 0;
    if (key == u->rl_cells) {
      p->cell = (const uint8_t *)value.body;
      size    = value.size;
    } else if (key == u->rl_title && value.type == u->atom_String) {
      title_read(&value, p);
    } else if (rl_number(&value, u, &number) && fabs(number) < 1e6) {
      number_read(u, key, number, p);
    }
  }
  if (p->rows <= 0 || p->lowest < 0 || p->first < 0 || !size || size % (uint32_t)p->rows ||
      size / (uint32_t)p->rows > RL_VIEW_PICTURE_COLUMNS) {
    return false;
  }
  p->count = (int)(size / (uint32_t)p->rows);
  return p->title[0] && p->first + p->count <= p->columns && p->ends > p->begins;
}
