/* SPDX-License-Identifier: ISC */
/* What a pupil asks for: the query of sheet.pdf. Pure; any thread. */
#ifndef RL_UI_PAGE_SHEET_REQUEST_H
#define RL_UI_PAGE_SHEET_REQUEST_H

#include "core/harmony/harp.h"
#include "core/text/text.h"

typedef struct {
  RlHarpChoice harp;
  RlPlayer     player;
  bool         letter;  /**< paper format; else A4 */
  unsigned     set;     /**< a bit for each name that was given, in the order of sheet_request.c */
  bool         invalid; /**< something else was given */
} RlSheetRequest;

/** Standard tuning and register, all bends, no overblows, A4. */
extern const RlSheetRequest RL_SHEET_REQUEST_DEFAULTS;

/** Sets one part of the query in a request that began as RL_SHEET_REQUEST_DEFAULTS. False if there
   is no such name, it was given before, or the value is none of its; then the request stays
   invalid. Names and values are those of the ports: `harp` 0..11, `register` -1..1, `tuning` 0..5,
   `bends` and `blow_bends` 0..3, `overblows` 0..1; `paper` is `a4` or `letter`. */
bool rl_sheet_request_set(RlSheetRequest *request, RlSlice name, RlSlice value);

/** Is all of it valid, and was the one name given that must be: `harp`? */
bool rl_sheet_request_complete(const RlSheetRequest *request);

#endif
