/* SPDX-License-Identifier: ISC */
/* The document's practice: notes heard, a tally after every chorus, kept in the session and in the
   practice file. The document's lock is held. core/practice/README.md says what is counted. */
#ifndef RL_PLUGIN_WORKER_PRACTICE_H
#define RL_PLUGIN_WORKER_PRACTICE_H

#include "core/practice/line.h"
#include "plugin/protocol/properties.h"
#include "plugin/shared/take_event.h"

#include <stdbool.h>

enum {
  RL_PRACTICE_NOTES     = 2048,
  RL_PRACTICE_TOLD      = 24, /**< choruses by OSC */
  RL_PRACTICE_TOLD_SIZE = RL_PRACTICE_TOLD * RL_PRACTICE_LINE_SIZE
};

/** Zeroed at the beginning. */
typedef struct {
  uint16_t    stretch; /* in which the notes were played */
  int         count;
  RlHeardNote note[RL_PRACTICE_NOTES]; /* in order of `at`; those that sound end at HUGE_VAL */
  int         well;                    /* choruses in a row that went well */
  bool        read;                    /* the file has been looked into for this song */
} RlPractice;

struct RlDocument;

/** Heeds what is told of what is played; true if the property or the problem has changed. */
bool rl_practice_hear(struct RlDocument *document, const RlTakeEvent *event);

/** Copies the newest lines of this song, RL_PRACTICE_TOLD at most, and says whether there is a
   newest line of any: it is in `last` then. */
bool rl_practice_tell(const struct RlDocument *document, char text[RL_PRACTICE_TOLD_SIZE],
                      RlPracticeLine *last);

/** Another chart: another song. */
void rl_practice_forget(struct RlDocument *document);

/** The lines as somebody sends them, or a session has them; not the document's own. Damaged ones
   are left out, and that is said. */
void rl_practice_set(struct RlDocument *document, RlSlice text);

#endif
