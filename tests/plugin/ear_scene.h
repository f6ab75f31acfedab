/* SPDX-License-Identifier: ISC */
/* A host in which a small band plays a song whose tempo the host does not know, and the plugin
   follows it by ear. */
#ifndef RL_TESTS_PLUGIN_EAR_SCENE_H
#define RL_TESTS_PLUGIN_EAR_SCENE_H

#include "scene.h"

#include "plugin/shared/hearing.h"
#include "tests/core/ear/band.h"

enum { TEMPO = 118, BEATS = 48, BLOCK = 512, KEY_A = 9 };

/** The song. */
extern const char ear_blues[];

typedef struct {
  Scene   s;
  RlForm  form;
  double  rate;
  float  *sound;
  int64_t frames, at; /* of the recording, which lies at frame 0 of the host's song */
  bool    rolls, says_frames, silent;
  int64_t since; /* frames run since the listener was waited for */
} Ear;

/** The band plays, and the clock is the ear. `..._at`: another band, plugin, worker. */
void ear_begin(Ear *ear);
void ear_begin_at(Ear *ear, const RlBand *band, const char *uri, RlHostWorker worker);
void ear_end(Ear *ear);

/** One block; the host says where its song is. */
void ear_block(Ear *ear, uint32_t block);

/** So many seconds; the listener is given time twice a second of sound. */
void ear_play_blocks(Ear *ear, double seconds, uint32_t block);
void ear_play(Ear *ear, double seconds);

/** A trigger goes down and up. */
void ear_press(Ear *ear, const char *port);

/** The port `hearing`. */
int ear_hearing(const Ear *ear);

/** Felt beats since bar 1, by the outputs. */
double ear_shown(const Ear *ear);

/** The same, by the recording. */
double ear_true_beat(const Ear *ear);

/** How far off the outputs are, whatever the chorus. */
double ear_error(const Ear *ear);

/** Is a place claimed? */
bool ear_placed(const Ear *ear);

/** Plays until one is, `most` seconds at most; returns the seconds that took. */
double ear_find(Ear *ear, double most);

#endif
