/* SPDX-License-Identifier: ISC */
/* The board from inside: shared by what it hears and shows (board.c) and what a person does with it
   (act.c). */
#ifndef RL_UI_CONTROLLER_CONTROLLER_STATE_H
#define RL_UI_CONTROLLER_CONTROLLER_STATE_H

#include "ui/controller/controller.h"
#include "ui/draw/draw.h"
#include "ui/model/owned_harps.h"

#include "core/chart/chart.h"

enum { RL_FOLDER_SIZE = 4096 };

struct RlController {
  RlControllerPlugin plugin;
  double             scale;
  RlTextCache       *type;
  RlView             view;

  RlPlaceReport report; /* as heard, `heard` seconds on the clock */
  double        heard;
  double        fade_from; /* when the chord changed */
  RlForm        form, trial;
  char          osc_to[RL_ADDRESS_SIZE], problem[RL_PROBLEM_SIZE], edit_error[RL_REASON_MAX];
  char          trouble[RL_PROBLEM_SIZE]; /* the board's own, said while the plugin has none */
  char          notice[RL_PROBLEM_SIZE];  /* said until the next click or key */

  RlControllerSheet sheet_make; /* NULL: no sheets */
  void             *sheet_data;

  RlPlan    plan, plan_trial, pick_plan, takes;
  RlLane    lane, pick_lane;
  RlLibrary library;
  char      pick_title[RL_PHRASE_TITLE_SIZE]; /* of the phrase looked at, as it reads */
  char      wanted[RL_PHRASE_TITLE_SIZE];
  int       found[RL_LIBRARY_MAX + RL_PLAN_PHRASES_MAX];
  char      phrases[RL_FOLDER_SIZE], book[RL_FOLDER_SIZE]; /* where they lie; empty: nowhere */
  RlLaneWorkspace lane_room;

  RlTextInput  typing;
  char         text[RL_CHART_MAX + 2]; /* a chart on its way out */
  RlOwnedHarps owned;
  char         folder[RL_FOLDER_SIZE]; /* empty: nothing is kept */
  RlFinding    finding[RL_OWNED_MAX];

  RlPort held; /* a trigger that is down; RL_PORTS: none */
  double release_at, scrolled_at;

  bool     all; /* everything must be drawn */
  int      width, height;
  RlLayout layout;
  int      pieces;
  RlPiece  piece[RL_PIECES_MAX], was[RL_PIECES_MAX];
};

/** Ranks the harps owned, or all of them as long as none is. */
void rl_controller_rank(RlController *board);

/** Sets a port of the plugin, and knows it. */
void rl_controller_set(RlController *board, RlPort port, float value);

/** Says that the file of harps cannot be what it should be: `read` or `written`. */
void rl_controller_trouble(RlController *board, const char *what);

/** Opens the page of phrases: reads the library anew. */
void rl_controller_phrases_open(RlController *board);

/** Works out what would come of the phrase looked at. */
void rl_controller_pick(RlController *board);

/** Another phrase is looked at, on another bar, moved otherwise: RL_ACTION_PHRASE_SELECT,
   RL_ACTION_PHRASE_BAR, RL_ACTION_PHRASE_MOVE. */
void rl_controller_pick_turn(RlController *board, RlAction action);

/** Lists the phrases alone whose titles have all these words in them, whatever the case of their
   letters; all of them for none. Without words: those that are wanted already, among what there is
   now. */
void rl_controller_find(RlController *board, const char *words);
void rl_controller_find_again(RlController *board);

/** Begins to type what is wanted; looks at the first one found. */
void rl_controller_find_open(RlController *board);
void rl_controller_find_first(RlController *board);

/** Puts it on its bar; frees that bar of phrases. */
void rl_controller_put(RlController *board);
void rl_controller_free_bar(RlController *board);

/** Makes the lesson sheet of what is in force, and says where it lies or what is wrong. */
void rl_controller_lesson(RlController *board);

/** Begins to type into the plan. */
void rl_controller_plan_open(RlController *board);

/** Says what is wrong with what is typed; nothing is, with "". */
void rl_controller_error(RlController *board, const char *words);

/** Begins to type into a bar (its index in the form), the whole chart, or a setting's list. */
void rl_controller_bar_open(RlController *board, int index);
void rl_controller_text_open(RlController *board);
void rl_controller_list_open(RlController *board, int field);

/** Keeps what was typed; false, and the error is said, if that cannot be. `kind` tells a changed
    bar from one more and one less. */
bool rl_controller_keep(RlController *board, RlActionKind kind);

/** Scrolls what is longer than the window by so many steps of the wheel, down if positive. */
void rl_controller_scroll(RlController *board, int steps, double now);

/** The same by a key: Page Up and Down, Home and End, and an arrow past the end of a list that goes
    on. False if it did nothing. */
bool rl_controller_scroll_key(RlController *board, int key, double now);

/** Nothing is typed any more, no list is open. */
void rl_controller_edit_end(RlController *board);

#endif
