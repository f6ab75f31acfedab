/* SPDX-License-Identifier: ISC */
/* A show: the plugin in the embedded host with OSC on, and an ear that listens to it. */
#ifndef LISTENING_H
#define LISTENING_H

#include "../plugin/scene.h"
#include "core/harmony/lamps.h"
#include "ear.h"

enum { BLOCK = 256, REPEAT = 2 * RATE, BEAT = RATE / 2 /* frames at 120 */ };

typedef struct {
  Scene scene;
  Ear   ear;
} Show;

/** Sets osc_to to `before`, a colon and `port`. */
void osc_to(Scene *scene, const char *before, unsigned port);

/** Plays so many frames, and hears. */
void play(Show *show, int64_t frames);

/** Rolling from bar 1 at 120, 4/4; nothing is sent yet. */
void show_begin(Show *show);

/** The same, and switches OSC on. */
void show_open(Show *show);
void show_end(Show *show);

int    notes_of(const RlHarp *harp);
size_t different_tags(const Ear *ear);

/** Everything there is was heard, once, at one instant. */
void check_full(const Ear *ear, RlHarpChoice choice);

/** The last of all was heard, and nothing else; forgets it. */
void check_last(Show *show);

#endif
