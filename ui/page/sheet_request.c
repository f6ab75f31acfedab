/* SPDX-License-Identifier: ISC */
#include "ui/page/sheet_request.h"

const RlSheetRequest RL_SHEET_REQUEST_DEFAULTS = {.player = {3, 3, false}};

/* Names of the query, as those of the ports. */
typedef enum { HARP, REGISTER, TUNING, BENDS, BLOW_BENDS, OVERBLOWS, PAPER, NAMES } Name;

static const struct {
  const char *name;
  int         low, high;
} names[NAMES] = {
  [HARP]       = {"harp", 0, 11},
  [REGISTER]   = {"register", -1, 1},
  [TUNING]     = {"tuning", 0, RL_TUNINGS - 1},
  [BENDS]      = {"bends", 0, 3},
  [BLOW_BENDS] = {"blow_bends", 0, 3},
  [OVERBLOWS]  = {"overblows", 0, 1},
  [PAPER]      = {"paper", 0, 1},
};

_Static_assert(NAMES <= 32, "RlSheetRequest.set has a bit for each");

enum { NO_NUMBER = -1000 };

/* The value as a number; NO_NUMBER if it is none. */
static int
number_of(const Name name, const RlSlice value)
{
  const bool minus  = rl_slice_begins(value, "-");
  const int  number = rl_slice_number(rl_slice_after(value, minus));
  if (name == PAPER) {
    return rl_slice_is(value, "a4") ? 0 : rl_slice_is(value, "letter") ? 1 : NO_NUMBER;
  }
  return number < 0 ? NO_NUMBER : minus ? -number : number;
}

bool
rl_sheet_request_set(RlSheetRequest *const request, const RlSlice name, const RlSlice value)
{
  int which = 0;
  while (which < NAMES && !rl_slice_is(name, names[which].name)) {
    ++which;
  }
  const int n = which < NAMES ? number_of((Name)which, value) : NO_NUMBER;
  if (n == NO_NUMBER || request->set >> which & 1U || n < names[which].low ||
      n > names[which].high) {
    request->invalid = true;
    return false;
  }
  request->set |= 1U << which;
  switch (which) {
  case HARP:
    request->harp.key = (uint8_t)n;
    break;
  case REGISTER:
    request->harp.range = (int8_t)n;
    break;
  case TUNING:
    request->harp.tuning = (RlTuning)n;
    break;
  case BENDS:
    request->player.draw_bends = (uint8_t)n;
    break;
  case BLOW_BENDS:
    request->player.blow_bends = (uint8_t)n;
    break;
  case OVERBLOWS:
    request->player.overblows = n > 0;
    break;
  default:
    request->letter = n > 0;
  }
  return true;
}

bool
rl_sheet_request_complete(const RlSheetRequest *const request)
{
  return !request->invalid && request->set >> HARP & 1U;
}
