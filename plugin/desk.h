/* The desk: where charts are read and everything the band plays from is kept, away from the audio
   thread. What the audio thread gets is a score: one immutable page, handed over by pointer. */
#ifndef RL_DESK_H
#define RL_DESK_H

#include "chart.h"
#include "lane.h"
#include "line.h"
#include "ring.h"
#include "scribe.h"

#include <pthread.h>
#include <stdatomic.h>

enum {
  RL_PATH_MAX     = 4096, /**< bytes of a file's path, the NUL included */
  RL_ADDRESS_MAX  = 1024, /**< bytes of osc_to, the NUL included */
  RL_PROBLEM_ROOM = RL_PATH_MAX + RL_REASON_ROOM
};

/** The harp in the hand, who plays it, and the key: what a line of targets depends on. */
typedef struct {
  RlHarpChoice harp;
  RlPlayer     player;
  int          song_key; /**< 0..11, 12: as the chart says */
} RlHand;

/** Are the two the same? */
bool rl_hand_same(const RlHand *a, const RlHand *b);

/** "The bar that begins now is bar 1", as it was said. */
typedef struct {
  bool    set;
  int32_t axis;      /**< RlAxis along which it was said */
  int32_t start_bar; /**< the port's value then; another one forgets it */
  double  at;        /**< bar 1: bars from 0, or quarters from the start bar's downbeat */
} RlBarOne;

/** The text properties, in the order they are told. */
typedef enum {
  RL_CHART,
  RL_CHART_FILE,
  RL_PLAN,
  RL_TAKE,
  RL_OSC_TO,
  RL_PROBLEM,
  RL_PROPERTIES
} RlProperty;

/** One page. Immutable once handed over. */
typedef struct {
  unsigned version[RL_PROPERTIES]; /**< another number: that property has changed */
  unsigned bar_one_version;        /**< another number: take `bar_one` */
  RlBarOne bar_one;
  RlHand   hand; /**< the hand `line` and `lane` are for */
  RlForm   form;
  RlLine   line;
  RlLane   lane;
  char     plan[RL_PLAN_MAX + 1];
  char     take[RL_PLAN_MAX + 1]; /**< all of them, in the syntax of a plan */
  char     chart_file[RL_PATH_MAX];
  char     osc_to[RL_ADDRESS_MAX];
  char     problem[RL_PROBLEM_ROOM];
} RlScore;

/** The value of a text property, NUL-terminated. */
const char *rl_score_text(const RlScore *score, RlProperty property);

/** The key the song sounds in with that value of the song_key port. */
RlKey rl_score_key(const RlScore *score, int song_key);

/** The desk. */
typedef struct {
  pthread_mutex_t lock; /**< between worker, save and restore; never the audio thread */
  RlScore         master;
  RlPlan         *plan; /**< what `lane` is made from */
  RlScribe        scribe;
  char            chart_problem[RL_PROBLEM_ROOM], osc_problem[RL_PROBLEM_ROOM];
  char            plan_problem[RL_PROBLEM_ROOM], lane_problem[RL_PROBLEM_ROOM];
  char            take_problem[RL_PROBLEM_ROOM];
  char            trouble[RL_PROBLEM_ROOM]; /**< what the sender has with its receivers */
  char *unread, *unread_plan; /**< restored texts that could not be read: saved as they came */
  _Atomic(RlScore *) outbox;  /**< the newest page the audio thread has not taken yet */
} RlDesk;

/** Opens the desk with the plain twelve-bar and hands over a first page. False without memory. */
bool rl_desk_open(RlDesk *desk);
void rl_desk_close(RlDesk *desk);

/** Takes the newest page, NULL if nothing is new. The caller owns it (rl_desk_free()). Real-time
 * safe. */
RlScore *rl_desk_take(RlDesk *desk);
void     rl_desk_free(RlScore *score);

/** What the audio thread asks for: a head, then `size` bytes of body. */
typedef enum {
  RL_ASK_PROPERTY, /**< body: the new text of `property`, no NUL */
  RL_ASK_LOST,     /**< `property` came while the ring had no room for it */
  RL_ASK_REFUSE,   /**< `property` came in a form that cannot be used; `size` bytes of text were
                      offered */
  RL_ASK_HAND,     /**< body: RlHand */
  RL_ASK_BAR_ONE,  /**< body: RlBarOne */
  RL_ASK_TAKE,     /**< body: RlTakeEvent */
  RL_ASK_FREE      /**< body: RlScore *, no longer used */
} RlAsk;

typedef struct {
  uint32_t ask, property, size;
  uint32_t session; /**< RlScore.bar_one_version when it was asked: an older one is out of date */
} RlAskHead;

/** Answers everything asked so far, in order, and hands over a new page if anything changed. The
    worker's thread (or whichever thread the host runs work() in). */
void rl_desk_answer(RlDesk *desk, RlRing *ring);

/** Sets a text property, as answering RL_ASK_PROPERTY does. Any thread but the audio thread's. */
void rl_desk_set(RlDesk *desk, RlProperty property, RlSlice text);

/** What the sender needs of the desk; zeroed at the beginning. */
typedef struct {
  unsigned version[RL_PROPERTIES]; /**< of RlScore, when it was copied */
  char     chart[RL_CHART_MAX + 1], plan[RL_PLAN_MAX + 1];
  char     osc_to[RL_ADDRESS_MAX];
  char     title[RL_PLANNED_MAX][RL_PHRASE_TITLE_ROOM]; /**< of each RlPlan.planned */
} RlDeskTexts;

/** Brings the texts up to date. Has osc_to been set since? Any thread but the audio thread's. */
bool rl_desk_texts(RlDesk *desk, RlDeskTexts *texts);

/** What is wrong with the receivers, empty for nothing: it joins the problem, behind the others.
   Any thread but the audio thread's. */
void rl_desk_trouble(RlDesk *desk, const char *text);

/** What a session holds. */
typedef struct {
  const char *chart, *chart_file, *plan, *take,
    *osc_to; /**< NULL: the session says nothing about it */
  RlBarOne bar_one;
} RlSaved;

/** Puts a saved session on the desk: what it says replaces what is there, the rest stays. */
void rl_desk_restore(RlDesk *desk, const RlSaved *saved);

/** Calls `save` with what a session should hold; the texts are good during the call. */
void rl_desk_save(RlDesk *desk, void (*save)(void *data, const RlSaved *saved), void *data);

#endif
