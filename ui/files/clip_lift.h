/* SPDX-License-Identifier: ISC */
/* A recording in the folder of phrases lifted in the background: its own beat and key are guessed
   from its notes, but for a tempo that its name says (`ferry 120 bpm.wav`). */
#ifndef RL_UI_FILES_CLIP_LIFT_H
#define RL_UI_FILES_CLIP_LIFT_H

#include "core/capture/notate.h"
#include "plugin/protocol/properties.h"
#include "ui/files/file_work.h"

enum { RL_CLIP_SECONDS = 60 /**< of a longer one the first */ };

typedef struct {
  char      path[RL_PATH_SIZE];
  char      title[RL_PHRASE_TITLE_SIZE];
  bool      good;     /**< once the work is done: there is a phrase; else why not: */
  char      why[256]; /**< begins with the file's name */
  RlNotated notated;
} RlClipLift;

/** Is this build able to? */
bool rl_clip_lift_can(void);

/** Is it the name of a file that would be lifted: `.wav`, `.flac`, `.ogg`, `.oga`, in any case? */
bool rl_clip_lift_takes(const char *name);

/** The tempo that a name says, felt beats a minute from 20 to 400; 0: none. */
double rl_clip_lift_tempo(const char *name);

/** Begins to lift. NULL if that cannot be done. */
RlBackground *rl_clip_lift_begin(const char *folder, const char *name, const char *title,
                                 RlClipLift **lift);

#endif
