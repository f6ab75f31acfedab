/* SPDX-License-Identifier: ISC */
/* What is wanted of the track that was kept, until somebody cuts it out, and what came of it: takes
   and their pictures. Guarded by the document's lock. */
#ifndef RL_PLUGIN_WORKER_LIFTS_H
#define RL_PLUGIN_WORKER_LIFTS_H

#include "core/capture/notate.h"
#include "core/chart/chart.h"
#include "plugin/protocol/lift_ask.h"
#include "plugin/shared/picture.h"
#include "plugin/shared/take_event.h"

enum { RL_LIFTS_DUE = 8, RL_LIFTS_PICTURES = 8 };

/** What part of the track. */
typedef enum {
  RL_LIFT_WANT_FRAMES, /**< from one frame to another, as capture was armed */
  RL_LIFT_WANT_LAST,   /**< what was just heard */
  RL_LIFT_WANT_BARS    /**< bars of the form, as they were heard last */
} RlLiftWantKind;

/** One part that is wanted. */
typedef struct {
  RlLiftWantKind kind;
  int64_t        from, at; /**< frames since the plugin's first; RL_LIFT_WANT_LAST: `at` is now */
  bool           four_bars;
  bool           pauses; /**< the music only went elsewhere: nothing is said of an empty take */
  int            first, last; /**< bars, from 1 */
} RlLiftWant;

/** What is due, and the newest pictures; zeroed at the beginning. */
typedef struct {
  RlLiftWant want[RL_LIFTS_DUE];
  int        count;
  unsigned   pictures; /**< so many have been made */
  RlPicture *picture[RL_LIFTS_PICTURES];
} RlLifts;

/** What is wrong with it, in words: `lift: bars 3 to 6: ` or `take: `, and why. */
void rl_lift_want_wrong(const RlLiftWant *want, const char *why, char words[RL_REASON_SIZE]);

/** A take from the track is over, or what was just heard is wanted. True if the problem has
   changed. */
struct RlDocument;
bool rl_lifts_hear(struct RlDocument *document, const RlTakeEvent *event);

/** The property `lift` is set. */
void rl_lifts_ask(struct RlDocument *document, RlSlice text);

/** A take that is new has this title: an older one's picture is not its own. */
void rl_lifts_title_taken(RlLifts *lifts, const char *title);

/** The picture of the take of that title is the document's from here on. */
void rl_lifts_picture_keep(RlLifts *lifts, RlPicture *picture);

/** The picture of the take of that title; NULL: none is kept. */
const RlPicture *rl_lifts_picture(RlLifts *lifts, RlSlice title);

void rl_lifts_close(RlLifts *lifts);

#endif
