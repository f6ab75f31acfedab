/* SPDX-License-Identifier: ISC */
/* Charts written into files: whole or not at all, and never over what nobody has seen. Any thread
   but those of audio and drawing. */
#ifndef RL_UI_FILES_CHART_SAVE_H
#define RL_UI_FILES_CHART_SAVE_H

#include "plugin/protocol/properties.h"
#include "ui/files/chart_text.h"
#include "ui/files/file_work.h"

#include <sys/stat.h>

/** How saving ended. */
typedef enum {
  RL_SAVE_DONE,
  RL_SAVE_FAILED,  /**< `why` says it */
  RL_SAVE_THERE,   /**< a file is there already: `found` */
  RL_SAVE_CHANGED, /**< it holds something else than was expected: `found` */
  RL_SAVE_OTHER,   /**< it holds a chart of another title: `found` */
  RL_SAVE_GONE     /**< the file that was expected is not there */
} RlSaved;

typedef struct {
  char        path[RL_PATH_SIZE];
  char        presets[RL_PATH_SIZE]; /**< a folder where nothing is written; or empty */
  RlChartText text;                  /**< what is to be saved */
  bool expects;      /**< there should be a file, and `expected` in it; else there should be none */
  bool makes_folder; /**< of a new file, where it is not there */
  bool other_titles; /**< over a chart of another title too */
  RlChartText expected;

  /* the result */
  RlSaved     saved;
  RlChartText found; /**< what is in the file; the whole of it, or its beginning */
  char        why[RL_FILE_WORDS_SIZE];
} RlChartSave;

/** Saves, if the file holds what is expected. It keeps its mode and owner; a link stays one. */
void rl_chart_save(RlChartSave *save);

/** The same in the background; `save` comes from malloc() and is freed with it, unless this returns
    NULL. */
RlBackground *rl_chart_save_begin(RlChartSave *save);

/** Writes a file whole or not at all. `before` is what stat() said of the file that is replaced,
    whose mode and owner stay; NULL: whatever is there is replaced, or nothing. 0, or an errno:
   EBUSY if it is no longer the file that it was. */
int rl_file_replace(const char *path, RlSlice bytes, const struct stat *before);

/** Creates a folder, and those it lies in. 0, or an errno. */
int rl_folders_make(const char *folder);

#endif
