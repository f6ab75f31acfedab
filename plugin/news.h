/* News: what the audio thread tells the sender of one instant, and the mailbox it goes through.
   One writer, one reader; neither waits. */
#ifndef RL_NEWS_H
#define RL_NEWS_H

#include "leader.h"
#include "midi_out.h"

#include <stdatomic.h>

/** Everything about one instant; complete in itself, so that any of them may be passed over. */
typedef struct {
  int64_t   when;  /**< nanoseconds since 1970 (UTC) */
  int64_t   frame; /**< since the beginning */
  bool      full;  /**< send everything, changed or not */
  bool      last;  /**< the last one: the lamps go out */
  bool      moved; /**< a beat, a jump, a start: the place is worth telling */
  bool      rolling;
  float     tempo, beat, sure; /**< as the ports and Place have them; beat from 1, 0 nowhere */
  float     beats_to_next;
  double    beats_per_frame;
  int       chorus, bar, bars; /**< bar 0: nowhere, or the song is over */
  int       beats, unit;       /**< of this bar's meter; 0 nowhere */
  bool      sounds, follows;   /**< is there a chord now, and another one to come? */
  RlHarmony now, next;
  RlTarget  target; /**< of the next chord */
  RlKey     key;    /**< the song sounds in */
  RlHand    hand;
  int       position;
  unsigned  chart, plan; /**< RlScore.version[]: another number is another text */
  unsigned  notes; /**< RlMidiOut.changes: another number, and other notes of the phrases sound */
  uint8_t   sounding; /**< how many do */
  RlPlayed  note[RL_PHRASE_TOGETHER];
} RlNews;

/** What is true at the leader's frame. */
RlNews rl_news_of(const RlLeader *leader, const RlMidiOut *phrases);

enum { RL_NEWS_ROOM = 16 };

/** Zeroed at the beginning. */
typedef struct {
  _Atomic uint32_t written, read; /* since the beginning; they wrap round together */
  RlNews           news[RL_NEWS_ROOM];
} RlMailbox;

/** False if there is no room. The audio thread; real-time safe. */
bool rl_mailbox_put(RlMailbox *mailbox, const RlNews *news);

/** The oldest; false if there is none. One reader at a time, any thread. */
bool rl_mailbox_take(RlMailbox *mailbox, RlNews *news);

#endif
