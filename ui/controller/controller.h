/* SPDX-License-Identifier: ISC */
/* The controller: what the window shows and does, without a window. Reports of the plugin, input
   and time go in; a view, and the parts of the picture that must be drawn again, come out. One
   thread, that of the window; `now` is in seconds on any clock that never goes back. */
#ifndef RL_UI_CONTROLLER_CONTROLLER_H
#define RL_UI_CONTROLLER_CONTROLLER_H

#include "ui/model/input.h"
#include "ui/model/view.h"
#include "ui/paint/rect.h"

#include <cairo.h>

#include "ui/paper/sheet.h"

typedef struct RlController RlController;

/** How the controller reaches the plugin. */
typedef struct {
  void *data;
  void (*set_port)(void *data, RlPort port, float value);
  void (*set_text)(void *data, RlProperty which, const char *text);
} RlControllerPlugin;

/** `scale` is the host's ui:scaleFactor, 1 to 3; `settings` the folder for what is kept between
    sessions (NULL: none). NULL without memory. */
RlController *rl_controller_new(const RlControllerPlugin *plugin, double scale,
                                const char *settings);
void          rl_controller_free(RlController *controller);

/** Where the phrases are: the player's folder, and the tunebook that comes with Reedlamp.
    NULL: none. */
void rl_controller_set_phrase_files(RlController *controller, const char *folder, const char *book);

/** Where charts are: the player's folder, those that come with Reedlamp, and the folder in which
   the recent ones are known. NULL: none. */
void rl_controller_set_chart_files(RlController *controller, const char *own, const char *presets,
                                   const char *state);

/** The folder in which tries on the notes of the harp are kept. NULL: none. */
void rl_controller_set_tries_folder(RlController *controller, const char *folder);

/** Who makes lesson sheets, one at a time and without keeping the window waiting. What either
    function appends to `said` is one or two sentences for a person. */
typedef struct {
  void *data;
  /** Begins with a copy of `sheet`, whose content is filled in but not its size. False: it cannot,
      and `said` gets why. Not called while a sheet is being made. */
  bool (*begin)(void *data, const RlSheet *sheet, RlText *said);
  /** True once when the sheet is finished: `said` gets where the file is, or what is wrong. */
  bool (*ready)(void *data, RlText *said);
} RlControllerSheets;

/** Sets who makes lesson sheets; NULL: nobody, and there is no button. */
void rl_controller_set_sheets(RlController *controller, const RlControllerSheets *sheets);

/** The size that a window should first have, in pixels. */
void rl_controller_size(const RlController *controller, int *width, int *height);

/** What the plugin reports: the value of a port, a place, a property's text. Any value will do:
   what is out of range is limited, what cannot be shown is left out. */
void rl_controller_hear_port(RlController *controller, RlPort port, float value);
void rl_controller_hear_place(RlController *controller, const RlPlaceReport *report, double now);
void rl_controller_hear_hearing(RlController *controller, const RlHearingReport *hearing);
void rl_controller_hear_text(RlController *controller, RlProperty which, const char *text);

void rl_controller_hear_played(RlController *controller, const RlPlayedReport *played, double now);
void rl_controller_hear_hit(RlController *controller, const RlHitReport *hit, double now);

/** Some columns of the picture that was asked for; those of one picture come in order. */
void rl_controller_hear_picture(RlController *controller, const RlViewPicturePart *part);

/** Does the plugin answer no more, since the host does not run it? */
void rl_controller_hear_silence(RlController *controller, bool silent);

/** As in RlWindowCallbacks, with the time. */
int  rl_controller_changed(RlController *controller, double now, int width, int height,
                           RlRect *damage);
void rl_controller_draw(RlController *controller, cairo_t *cr, int width, int height);
bool rl_controller_input(RlController *controller, const RlInput *input, double now);

/** What is shown, at the time of the last rl_controller_changed() or rl_controller_look(). */
const RlView *rl_controller_view(const RlController *controller);

/** Brings what is shown up to `now`; for drawing without rl_controller_changed(). */
void rl_controller_look(RlController *controller, double now);

#endif
