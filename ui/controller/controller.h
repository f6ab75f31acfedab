/* SPDX-License-Identifier: ISC */
/* The board: what the window shows and does, without a window. It hears the plugin, takes what a
   person does, and knows what must be drawn anew. One thread. */
#ifndef RL_UI_CONTROLLER_CONTROLLER_H
#define RL_UI_CONTROLLER_CONTROLLER_H

#include "ui/model/input.h"
#include "ui/model/view.h"
#include "ui/paint/rect.h"

#include <cairo.h>

#include "ui/paper/sheet.h"

typedef struct RlController RlController;

/** How the board speaks to the plugin. */
typedef struct {
  void *data;
  void (*set_port)(void *data, RlPort port, float value);
  void (*set_text)(void *data, RlProperty which, const char *text);
} RlControllerPlugin;

/** `scale` is the host's ui:scaleFactor, 1 to 3; `settings` the folder where what is kept between
    sessions lies (NULL: nowhere). NULL without memory. */
RlController *rl_controller_new(const RlControllerPlugin *plugin, double scale,
                                const char *settings);
void          rl_controller_free(RlController *controller);

/** Where phrases lie: a folder of the player's, and the tunebook that comes with Reedlamp. NULL for
    either: nowhere. */
void rl_controller_set_phrase_files(RlController *controller, const char *folder, const char *book);

/** Makes a lesson sheet from `sheet`, which is filled but for its size and not fitted; `said` gets
    where it lies or what is wrong, one sentence or two. True if it was made. */
typedef bool (*RlControllerSheet)(void *data, RlSheet *sheet, RlText *said);

/** Who makes lesson sheets, when a person asks for one; without anybody no button is there. */
void rl_controller_set_sheet_maker(RlController *controller, RlControllerSheet make, void *data);

/** The size a window should first have, in pixels. */
void rl_controller_size(const RlController *controller, int *width, int *height);

/** What the plugin says. `now` in seconds, on any clock that only goes forwards. */
void rl_controller_hear_port(RlController *controller, RlPort port, float value);
void rl_controller_hear_place(RlController *controller, const RlPlaceReport *told, double now);
void rl_controller_hear_text(RlController *controller, RlProperty which, const char *text);

/** RlWindowCallbacks, but that the time is given. */
int  rl_controller_changed(RlController *controller, double now, int width, int height,
                           RlRect *damage);
void rl_controller_draw(RlController *controller, cairo_t *cr, int width, int height);
bool rl_controller_input(RlController *controller, const RlInput *input, double now);

/** What is shown, as of the last rl_controller_changed() or rl_controller_look(). */
const RlView *rl_controller_view(const RlController *controller);

/** Brings what is shown up to a time, for who draws without asking what changed. */
void rl_controller_look(RlController *controller, double now);

#endif
