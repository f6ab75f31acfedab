/* SPDX-License-Identifier: ISC */
/* Undo and redo of what the window changes: chart, plan, takes, addresses and settings. A change is
   what somebody sends the plugin: it holds the value before and after, and undoing sends the one
   before. What one input (a click, a key) changes is one step. Nothing is saved.

   Others change the same things: the host's automation, a pedal, another window, a session that is
   restored. So a step is undone only where everything it changed still has the value it gave it; of
   the takes, those that it knew of, and the others stay. Else all steps that changed that thing are
   forgotten, and a notice says so: an undo never takes away what somebody else has done. */
#ifndef RL_UI_CONTROLLER_UNDO_H
#define RL_UI_CONTROLLER_UNDO_H

#include "ui/controller/controller.h"

enum {
  RL_UNDO_STEPS   = 100,
  RL_UNDO_CHANGES = 4 * RL_UNDO_STEPS, /**< a step changes one thing, seldom three */
  RL_UNDO_SENT    = 32,
  RL_UNDO_BYTES   = 1 << 26 /**< of texts of files: older steps are forgotten beyond */
};

/** One thing changed: a port, or a text (`port` is RL_PORTS then), which may be that of a file of
    phrases. */
typedef struct {
  unsigned   step;
  int        port;
  RlProperty text;
  bool       opened; /**< a chart that the plugin read from a file */
  float      was, is;
  char      *file;               /**< its name, or NULL */
  char      *text_was, *text_is; /**< of a file NULL: there is none */
} RlUndoChange;

/** Texts that were sent and did not come back yet, the oldest first. */
typedef struct {
  int   count;
  char *text[RL_UNDO_SENT];
} RlSent;

typedef struct {
  RlUndoChange change[RL_UNDO_CHANGES]; /**< the oldest first; steps lie together */
  int          count, done;             /**< those from `done` on are undone */
  unsigned     step;                    /**< what is changed now belongs to it */
  double       now, changed_at;         /**< times of this input and of the last change */
  RlSent       sent[RL_PROPERTIES];
  bool         opens; /**< the plugin was asked to open a chart, and has told nothing of it yet */
} RlUndo;

void rl_undo_free(RlController *controller);

/** An input begins, and with it a step. */
void rl_undo_input(RlController *controller, double now);

/** Sets a port, or sends a text, as part of the step. Values of one port that follow each other
    within a second are one step: a wheel is turned. */
void rl_undo_set_port(RlController *controller, RlPort port, float value);
void rl_undo_send_text(RlController *controller, RlProperty which, const char *text);

/** Notes what a text will be once the plugin has done what it is sent in another property. */
void rl_undo_note_text(RlController *controller, RlProperty which, const char *text);

/** Notes that a file of phrases had the text `was` and has `is` now; NULL: it was not there, it is
    gone. */
void rl_undo_note_file(RlController *controller, const char *name, const char *was, const char *is);

/** Forgets all steps that changed a file of phrases. */
void rl_undo_forget_file(RlController *controller, const char *name);

/** The plugin is asked to open a file: the chart that it tells next is a step of its own. */
void rl_undo_open_chart(RlController *controller, const char *path);

/** The plugin tells a text; called before it is kept as what the plugin said last. */
void rl_undo_hear_text(RlController *controller, RlProperty which, const char *text);

/** A text as it will be once everything sent has arrived. Valid until the next call of these
    functions. */
const char *rl_undo_text(const RlController *controller, RlProperty which);

/** Undoes the last step; does the last undone one again. */
void rl_undo_back(RlController *controller);
void rl_undo_again(RlController *controller);

#endif
