/* The board: what the window shows and does, without a window. It hears the plugin, takes what a
   person does, and knows what must be drawn anew. One thread. */
#ifndef RL_BOARD_H
#define RL_BOARD_H

#include "view.h"
#include "window.h"

#include "paper/paper.h"

typedef struct RlBoard RlBoard;

/** How the board speaks to the plugin. */
typedef struct {
  void *data;
  void (*set_port)(void *data, RlPort port, float value);
  void (*set_text)(void *data, RlBoardText which, const char *text);
} RlBoardPlugin;

/** `scale` is the host's ui:scaleFactor, 1 to 3; `settings` the folder where what is kept between
    sessions lies (NULL: nowhere). NULL without memory. */
RlBoard *rl_board_new(const RlBoardPlugin *plugin, double scale, const char *settings);
void     rl_board_free(RlBoard *board);

/** Where phrases lie: a folder of the player's, and the tunebook that comes with Reedlamp. NULL for
    either: nowhere. */
void rl_board_phrases_from(RlBoard *board, const char *folder, const char *book);

/** Makes a lesson sheet of a paper, which is filled but for its size and not fitted; `said` gets
    where it lies or what is wrong, one sentence or two. True if it was made. */
typedef bool (*RlBoardSheet)(void *data, RlPaper *paper, RlText *said);

/** Who makes lesson sheets, when a person asks for one; without anybody no button is there. */
void rl_board_sheets_by(RlBoard *board, RlBoardSheet make, void *data);

/** The size a window should first have, in pixels. */
void rl_board_size(const RlBoard *board, int *width, int *height);

/** What the plugin says. `now` in seconds, on any clock that only goes forwards. */
void rl_board_hear_port(RlBoard *board, RlPort port, float value);
void rl_board_hear_place(RlBoard *board, const RlTold *told, double now);
void rl_board_hear_text(RlBoard *board, RlBoardText which, const char *text);

/** RlFace, but that the time is given. */
int  rl_board_changed(RlBoard *board, double now, int width, int height, RlRect *damage);
void rl_board_draw(RlBoard *board, cairo_t *cr, int width, int height);
bool rl_board_input(RlBoard *board, const RlInput *input, double now);

/** What is shown, as of the last rl_board_changed() or rl_board_look(). */
const RlView *rl_board_view(const RlBoard *board);

/** Brings what is shown up to a time, for who draws without asking what changed. */
void rl_board_look(RlBoard *board, double now);

#endif
