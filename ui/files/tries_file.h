/* SPDX-License-Identifier: ISC */
/* Tries on the notes of the harp, kept between sessions in the file `tries` of a folder: a line a
   note (core/trainer/tries.h). Several windows may write it. */
#ifndef RL_UI_FILES_TRIES_FILE_H
#define RL_UI_FILES_TRIES_FILE_H

#include "plugin/protocol/properties.h"
#include "ui/files/file_work.h"

#include "core/trainer/tries.h"

/** Reads the file. 0, or an errno; no file is no fault. Any thread but that of audio. */
int rl_tries_file_read(const char *folder, RlTries *tries);

/** Adds to what the file holds, and creates it and the folder where they are not there. What cannot
    be read is not written over. 0, or an errno. Any thread but those of audio and drawing. */
int rl_tries_file_add(const char *folder, const RlTries *more);

/** The same in the background. */
typedef struct {
  char    folder[RL_PATH_SIZE];
  RlTries more;
  int     why; /**< the result */
} RlTriesNote;

/** `note` comes from malloc() and is freed with it, unless this returns NULL. */
RlBackground *rl_tries_note_begin(RlTriesNote *note);

#endif
