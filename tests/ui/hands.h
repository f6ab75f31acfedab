/* SPDX-License-Identifier: ISC */
/* A controller over a plugin that only records what it is sent, and hands for it: mouse and
   keyboard. One thread. */
#ifndef RL_TESTS_UI_HANDS_H
#define RL_TESTS_UI_HANDS_H

#include "ui/controller/controller.h"
#include "ui/layout/layout.h"

#include <stdbool.h>

/** Twelve bars in G. */
extern const char twelve[];

/* ---- a plugin that records what it is sent ---- */

typedef struct {
  RlPort port;
  float  value;
} Set;

typedef struct {
  RlController *controller;
  double        now; /* seconds */
  int           width, height;
  Set           set[256];
  int           sets;
  char          text[RL_PROPERTIES][RL_CHART_MAX + 2]; /* the last one sent; empty: none */
  char          takes[RL_PLAN_MAX + 1];                /* as the plugin has them */
  int           refused;                               /* edits that it could not do */
  bool          undoes; /* undo and redo are used: then takes are sent whole */
} Host;

extern Host host;

/** For an RlControllerPlugin whose data is `host`. */
void set_port(void *data, RlPort port, float value);
void set_text(void *data, RlProperty which, const char *text);

/** The value that was last set; the test fails if none was. */
float last_set(RlPort port);

/** A controller with the twelve bars, 1280 by 720; `folder` as rl_controller_new takes it. */
void open_controller(const char *folder);

/** The same on the screen of phrases, those of a folder of one's own. */
void folder_open(const char *folder);

/** The same with the phrases of the book that the plugin comes with. */
void library_open(void);

void close_controller(void);

/** Looks as a window does, until phrases are read and written. */
void look(void);

/** A place on a beat (from 0) of a bar; `index` of the bar in the form, -1 where none sounds. */
RlPlaceReport told_at(RlPart part, int chorus, int bar, int index, int beat);

/** The plugin tells a place. */
void tell(RlPlaceReport t);

/** The plugin sends back the plan that it was sent. */
void plan_told(void);

/** The plugin has other takes, and reports them. */
void takes_come(const char *takes);

/* ---- mouse and keyboard ---- */

/** False if the key means nothing here. */
bool key(int which);

void type(const char *text);

/** Backspace, so many times. */
void rub_out(int times);

void shift_arrow(int which);

/** As laid out when a spot was last looked for. */
extern RlLayout layout;

/** The index of a spot that can be used; -1: there is none. */
int spot_of(RlActionKind kind, int value);

/** The middle of that spot; the test fails where there is none. */
RlInput on_spot(RlInputKind input, RlActionKind kind, int value);

void click(RlActionKind kind, int value);

/** Moves the focus to a spot, with Tab only. */
void walk_to(RlActionKind kind, int value);

void walk_and_enter(RlActionKind kind, int value);

enum { WAYS = 2 };

/** Everything is done in both ways. */
extern void (*const ways[WAYS])(RlActionKind, int);

/** Opens the screen for practice for a setting that stands there alone. */
void practice_open_for(int field);

/** Some key, port or text by chance, of rand(): what else may happen in between. */
void something(void);

/* ---- files, sheets ---- */

void file_write(const char *path, const char *text);

/** Records what it is asked for, and is ready when it is next asked, unless it is slow. */
typedef struct {
  int     asked;
  RlSheet sheet;
  bool    slow;
} Maker;

/** It makes the controller's sheets. */
void maker_set(Maker *m);

#endif
