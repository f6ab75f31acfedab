/* SPDX-License-Identifier: ISC */
#include "ui/model/practice.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

void
rl_practice_show(RlPracticeShown *const shown, RlSlice text, const RlSlice title)
{
  char   song[RL_PRACTICE_TITLE_SIZE];
  RlText to = rl_text_in(song, sizeof(song));
  rl_text_add_slice(&to, rl_slice_trim(title));
  rl_text_add(&to, to.used ? "" : "Untitled");
  RlSlice        line;
  RlPracticeLine read;
  shown->count = 0;
  while (rl_practice_line_next(&text, &line)) {
    if (!rl_practice_line_read(line, &read) || strcmp(read.title, song) != 0) {
      continue;
    }
    if (shown->count == RL_PRACTICE_SHOWN) {
      memmove(shown->line, shown->line + 1, (RL_PRACTICE_SHOWN - 1) * sizeof(read));
      --shown->count;
    }
    shown->line[shown->count++] = read;
  }
}

const char *
rl_panel_title(const RlPanel panel)
{
  static const char *const titles[RL_PANELS] = {
    [RL_PANEL_TARGETS] = "landed on the chord", [RL_PANEL_STRONG] = "chord tones on strong beats",
    [RL_PANEL_PLANNED] = "planned notes",       [RL_PANEL_BENDS] = "bends in tune",
    [RL_PANEL_BEAT] = "near the beat",          [RL_PANEL_ROLES] = "which notes"};
  return titles[panel];
}

static double
share(const int hit, const int of)
{
  return of ? (double)hit / of : -1;
}

/* Half a half step off is as far as it can be told. */
static double
bends_good(const RlTally *const t)
{
  static const double most = 50; /* cents */
  const double        off  = sqrt(t->bend_cents * t->bend_cents + t->bend_spread * t->bend_spread);
  return t->bends ? 1 - fmin(1, off / most) : -1;
}

static double
beat_good(const RlTally *const t)
{
  static const double most = 0.25; /* of a beat */
  return t->timed ? 1 - fmin(1, fabs(t->behind_beats) / most) : -1;
}

double
rl_panel_good(const RlPanel panel, const RlTally *const t)
{
  switch (panel) {
  case RL_PANEL_TARGETS:
    return share(t->targets_hit, t->targets);
  case RL_PANEL_STRONG:
    return share(t->strong_chord, t->strong);
  case RL_PANEL_PLANNED:
    return share(t->planned_hit, t->planned);
  case RL_PANEL_BENDS:
    return bends_good(t);
  case RL_PANEL_BEAT:
    return beat_good(t);
  default:
    return t->notes ? rl_panel_part(t, 0) + rl_panel_part(t, 1) + rl_panel_part(t, 2) : -1;
  }
}

double
rl_panel_part(const RlTally *const t, const int n)
{
  static const int part_of[RL_ROLES] = {
    [RL_ROLE_THIRD] = 0, [RL_ROLE_SEVENTH] = 0, [RL_ROLE_ROOT] = 1, [RL_ROLE_FIFTH] = 2,
    [RL_ROLE_CHORD] = 2, [RL_ROLE_BLUE] = 3,    [RL_ROLE_SAFE] = 3, [RL_ROLE_PASS] = 4,
    [RL_ROLE_REACH] = 4, [RL_ROLE_OFF] = 4};
  int count = 0;
  for (int role = 0; role < RL_ROLES; ++role) {
    count += part_of[role] == n ? t->role[role] : 0;
  }
  return t->notes ? (double)count / t->notes : 0;
}

static void
of_write(const int hit, const int of, RlText *const text)
{
  rl_text_add_int(text, hit);
  rl_text_add(text, " of ");
  rl_text_add_int(text, of);
}

static void
off_write(const double value, const char *const unit, const char *const below,
          const char *const above, RlText *const text)
{
  const int whole = (int)lround(value);
  rl_text_add_int(text, abs(whole));
  rl_text_add(text, unit);
  rl_text_add(text, whole < 0 ? below : whole > 0 ? above : "");
}

void
rl_panel_words(const RlPanel panel, const RlTally *const t, RlText *const text)
{
  if (rl_panel_good(panel, t) < 0) {
    return;
  }
  switch (panel) {
  case RL_PANEL_TARGETS:
    of_write(t->targets_hit, t->targets, text);
    break;
  case RL_PANEL_STRONG:
    of_write(t->strong_chord, t->strong, text);
    break;
  case RL_PANEL_PLANNED:
    of_write(t->planned_hit, t->planned, text);
    break;
  case RL_PANEL_BENDS:
    off_write(t->bend_cents, " cents", " low", " high", text);
    rl_text_add(text, ", ±");
    rl_text_add_int(text, lround(t->bend_spread));
    break;
  case RL_PANEL_BEAT:
    off_write(t->behind_ms, " ms", " before", " behind", text);
    break;
  default:
    rl_text_add_int(text, t->notes);
    rl_text_add(text, t->notes == 1 ? " note" : " notes");
    break;
  }
}

int
rl_practice_day(const RlPracticeLine *const line)
{
  return (int)(line->when / 86400);
}

/* As the line has it: `2026-11-30T…`. */
void
rl_practice_day_write(const RlPracticeLine *const line, RlText *const text)
{
  static const char *const months[] = {"Jan", "Feb", "Mar", "Apr", "May", "Jun",
                                       "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"};
  char                     buffer[RL_PRACTICE_LINE_SIZE];
  RlText                   written = rl_text_in(buffer, sizeof(buffer));
  rl_practice_line_write(line, &written);
  const int month = rl_slice_number((RlSlice){buffer + 5, 2});
  rl_text_add_int(text, rl_slice_number((RlSlice){buffer + 8, 2}));
  rl_text_add(text, " ");
  rl_text_add(text, month >= 1 && month <= 12 ? months[month - 1] : "");
}
