/* SPDX-License-Identifier: ISC */
/* Files of phrases written one after the other in the background, each whole or not at all, and
   only over what it is known to hold. To be called by the window's thread. */
#ifndef RL_UI_FILES_PHRASE_WRITER_H
#define RL_UI_FILES_PHRASE_WRITER_H

#include "plugin/protocol/properties.h"
#include "ui/files/chart_text.h"

typedef struct RlPhraseWriter RlPhraseWriter;

/** Why a file was not written. */
typedef enum {
  RL_WRITE_CHANGED, /**< it holds something else than it should, or is gone, or there is one
                         where none should be */
  RL_WRITE_FAILED   /**< `why` says it */
} RlWriteFailure;

typedef struct {
  RlWriteFailure kind;
  char           path[RL_PATH_SIZE];
  char           why[RL_FILE_WORDS_SIZE];
} RlWriteResult;

/** NULL without memory. */
RlPhraseWriter *rl_phrase_writer_new(void);

/** What was begun is written to its end all the same. NULL: nothing. */
void rl_phrase_writer_free(RlPhraseWriter *writer);

/** Has a file that holds the bytes `was` hold `is`; where `at` is NULL there is no such file.
   Returns false without memory: then nothing will be written. Once one for a path has failed those
   that come after it are dropped, until that was heard of. */
bool rl_phrase_writer_add(RlPhraseWriter *writer, const char *path, RlSlice was, RlSlice is);

/** True once for each file that could not be written. */
bool rl_phrase_writer_failed(RlPhraseWriter *writer, RlWriteResult *result);

/** Is something still to be written? */
bool rl_phrase_writer_busy(RlPhraseWriter *writer);

#endif
