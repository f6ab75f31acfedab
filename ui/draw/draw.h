/* SPDX-License-Identifier: ISC */
/* The picture: what a view looks like at a size. Pure but for the type case, which only remembers
   words. The window, the demo's pictures and the tests use the same. */
#ifndef RL_UI_DRAW_DRAW_H
#define RL_UI_DRAW_DRAW_H

#include "ui/layout/layout.h"

/** Draws a window of that many pixels; only what lies in the clip is touched. `watch` may be NULL.
 */
void rl_draw(const RlView *view, int width, int height, cairo_t *cr, RlTextCache *type,
             RlTextObserver watch, void *watch_data);

/** A part of the picture that changes as a whole, and a number that changes when its looks do. */
typedef struct {
  RlRect   at; /**< in pixels, everything it draws included */
  uint32_t looks;
} RlPiece;

enum { RL_PIECES_MAX = 512 };

/** The parts of a picture, always the same ones in the same order for the same layout. */
int rl_draw_pieces(const RlView *view, const RlLayout *layout, RlPiece *parts);

/* ---- the rooms of the picture, each with its parts ---- */

/** What all of them draw from. */
typedef struct {
  RlPaint         paint;
  const RlView   *view;
  const RlLayout *layout;
} RlScene;

void rl_draw_comb(const RlScene *scene);
void rl_draw_corners(const RlScene *scene);
void rl_draw_chart(const RlScene *scene);
void rl_draw_lane(const RlScene *scene);
void rl_draw_controls(const RlScene *scene, int from, int to); /**< some of the spots */
void rl_draw_problem(const RlScene *scene);
void rl_draw_notice(const RlScene *scene);
void rl_draw_editor(const RlScene *scene); /**< what is being typed */

/** One line that is being typed, in letters of that size. */
void rl_draw_typing(const RlScene *scene, RlRect box, double size);

void rl_draw_list(const RlScene *scene); /**< what can be chosen */
void rl_draw_harps(const RlScene *scene);
void rl_draw_phrases(const RlScene *scene);
void rl_draw_text(const RlScene *scene);

/** What the phrase wants with a lamp. */
typedef enum {
  RL_MARK_NONE,
  RL_MARK_SOON,  /**< it is in the next bar */
  RL_MARK_NOW,   /**< in this bar */
  RL_MARK_SOUNDS /**< it should sound now */
} RlPhraseMark;

/** The bars of the lane in sight, the one that plays first; and where in the song the music is, in
    ticks. */
enum { RL_LANE_BARS_MAX = 4 };
int rl_lane_in_sight(const RlView *view, int count, RlLaneBar *bars, double *now);

/** What a lamp of the comb shows. */
typedef struct {
  bool     shown, reached;
  RlWorth  now, before;
  bool     comes;  /**< a tone of the next chord */
  bool     target; /**< the one to land on */
  uint8_t  phrase; /**< RlPhraseMark */
  RlDegree next;
  uint8_t  note;
} RlCell;

typedef struct {
  RlCell cell[RL_HOLES][RL_TECHNIQUES];
  RlKey  key;
} RlComb;

/** How far a lamp's glow may reach, from its cell. */
RlRect rl_glow_reach(RlRect cell);

/** Works out the comb; `hole` from 1. */
RlComb rl_comb_of(const RlView *view);

/** How far the next frames are filled, in steps that can be seen: 0 to RL_FILL_STEPS. */
enum { RL_FILL_STEPS = 32 };
int rl_fill_steps(const RlView *view);

/** How bright segment `i` of the beat's wire is: 0 to 1; and whether it is the one that sounds. */
double rl_wire_level(const RlView *view, int i, bool *sounds);

/** Where the segment stands. */
RlRect rl_wire_at(const RlView *view, const RlLayout *layout, int i);
int    rl_wire_segments(const RlView *view);

/** Index of the bar in which the next chord comes, -1 for none. */
int rl_draw_next_bar(const RlView *view);

/** Words of the two corners. */
enum { RL_WORDS_SIZE = 96 };
void rl_countdown(const RlView *view, RlText *number, RlText *words);

#endif
