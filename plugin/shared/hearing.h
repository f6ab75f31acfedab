/* SPDX-License-Identifier: ISC */
/* What the audio thread and the listener share while the song is followed by ear: sound one way,
   news the other, and the places heard so far. The worker makes it and lends it to the audio
   thread. */
#ifndef RL_PLUGIN_SHARED_HEARING_H
#define RL_PLUGIN_SHARED_HEARING_H

#include "core/clock/heard.h"
#include "plugin/protocol/ports.h"
#include "plugin/shared/lend_desk.h"
#include "plugin/shared/places.h"
#include "plugin/shared/sound_ring.h"

enum { RL_NEWS_SLOTS = 32 };

/** What the listener says; complete in itself. */
typedef struct {
  RlHeardReport  report;
  unsigned       chart; /**< RlSnapshot.version[RL_CHART] that it is about */
  RlHearingState state;
  bool           tuned; /**< `cents` is known: how far the recording lies above A = 440 Hz */
  float          cents;
  int8_t         key; /**< pitch class of the tonic as heard; RL_KEY_NOT_HEARD */
  float          key_sure;
} RlNews;

/** Zeroed at the beginning. */
typedef struct {
  RlSoundRing sound;
  RlPlaces    places;
  RlSlots     news_slots;
  RlNews      news[RL_NEWS_SLOTS];
} RlHearing;

/** Who wants to listen, and who has what it takes. Zeroed at the beginning. */
typedef struct {
  RlLendDesk  lend;   /**< of an RlHearing */
  atomic_bool cannot; /**< the worker: there is no memory, or no thread */
} RlListenDesk;

/** Where there is no room the news is dropped; the next is as good. The listener. */
static inline void
rl_news_put(RlHearing *const h, const RlNews *const news)
{
  const int at = rl_slots_free(&h->news_slots, RL_NEWS_SLOTS);
  if (at >= 0) {
    h->news[at] = *news;
    rl_slots_commit(&h->news_slots);
  }
}

/** The oldest; false if there is none. The audio thread; real-time safe. */
static inline bool
rl_news_pop(RlHearing *const h, RlNews *const news)
{
  const int at = rl_slots_oldest(&h->news_slots, RL_NEWS_SLOTS);
  if (at < 0) {
    return false;
  }
  *news = h->news[at];
  rl_slots_drop(&h->news_slots);
  return true;
}

#endif
