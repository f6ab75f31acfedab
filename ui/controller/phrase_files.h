/* SPDX-License-Identifier: ISC */
/* The files of the library: read in the background, and written there when a phrase is changed.
   What was changed is shown at once; where it cannot be written that is said, and the files are
   read again. */
#ifndef RL_UI_CONTROLLER_PHRASE_FILES_H
#define RL_UI_CONTROLLER_PHRASE_FILES_H

#include "ui/controller/controller.h"
#include "ui/files/phrase_scan.h"
#include "ui/files/phrase_writer.h"

typedef struct {
  RlPhraseWriter *writer;  /**< NULL until something is written */
  RlBackground   *reading; /**< NULL: nothing is read */
  RlPhraseScan   *scan;
  double          since; /**< when reading began; negative: not seen yet */
  bool            stale; /**< files were changed since reading began */
} RlPhraseFiles;

/** Begins to read the library anew. */
void rl_phrase_files_read(RlController *controller);

/** Takes what was read, and says what could not be written. */
void rl_phrase_files_advance(RlController *controller, double now);

void rl_phrase_files_close(RlController *controller);

/** The text of a file of the player's own; NULL: there is none, or no memory. To be freed. */
char *rl_phrase_files_text(const RlController *controller, const char *name);

/** Gives a file of the player's own another text (NULL: none, the file goes), in the library at
    once and on the disk soon. No step of undo. NULL, or why it cannot be. */
const char *rl_phrase_files_put(RlController *controller, const char *name, const char *text);

/** Selects the first phrase of the library with that title, in sight. False if there is none. */
bool rl_phrase_files_select(RlController *controller, const char *title);

/** Scrolls the list so that the selected phrase is in sight. */
void rl_phrase_files_show(RlController *controller);

#endif
