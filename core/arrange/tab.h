/* SPDX-License-Identifier: ISC */
/* Tab: the easiest way to play some notes on this harp, for this player: the one that costs least,
   by dynamic programming from onset to onset (Viterbi). Not for the audio thread (up to two
   milliseconds for a long phrase); no heap, no state; any other thread. */
#ifndef RL_CORE_ARRANGE_TAB_H
#define RL_CORE_ARRANGE_TAB_H

#include "core/harmony/harp.h"
#include "core/phrase/phrase.h"

/** What a way of playing costs: the whole table of weights, but for what each hole adds to a bend
    (`bend_hole` in tab_grips.c). COSTS.md says them in words. Our own judgement, tuned on 37
   choices of tab and 20 phrases written by hand (tests/core/arrange).
 */
enum {
  RL_TAB_BEND_1    = 2, /**< a note bent by one, two, three semitones */
  RL_TAB_BEND_2    = 3,
  RL_TAB_BEND_3    = 5,
  RL_TAB_HELD      = 2,  /**< and held short of the deepest bend that the hole has */
  RL_TAB_BLOW_BEND = 2,  /**< and blown */
  RL_TAB_OVER      = 10, /**< an overblow or overdraw */
  RL_TAB_HOME      = 1,  /**< the chord's root blown where the harp has it drawn, */
  RL_TAB_HOME_END  = 4,  /**<   and if the phrase ends on it */
  RL_TAB_OTHER_WAY = 1,  /**< a double (one pitch on two unbent reeds) not played as the others */
  RL_TAB_SPLIT     = 2,  /**< two notes an octave apart, the holes between blocked by the tongue */
  RL_TAB_SCOOP     = 3,  /**< a scoop where the note cannot be bent into */
  RL_TAB_BENT      = 3,  /**< a note meant to be bent that is not */
  RL_TAB_REPLACED  = 12, /**< another note in its place, */
  RL_TAB_AWAY      = 2,  /**<   for each semitone that it is off, */
  RL_TAB_NO_TONE   = 2,  /**<   and if it is of the chord's scale only */
  RL_TAB_LEFT_OUT  = 20, /**< a note not played */
  RL_TAB_OCTAVE    = 12, /**< for each octave that the phrase is moved by */
  RL_TAB_BREAK     = 14, /**< for each octave that its rest is moved by more or less */
  RL_TAB_HOLE      = 1,  /**< going from hole to hole, for each, */
  RL_TAB_FAR       = 2,  /**<   for each past two, */
  RL_TAB_BREATH    = 2,  /**<   and for another breath; all three half of it over a rest */
  RL_TAB_AGAIN     = 1,  /**< in one hole and breath from one bend to another */
  RL_TAB_SLUR      = 4,  /**< a slur that needs another breath or passes a hole */
  RL_TAB_REST      = RL_TICKS / 2 /**< ticks of silence that are a rest */
};

/** What could not be played as the phrase has it, as a set. */
typedef enum {
  RL_TAB_IS_REPLACED = 1 << 0, /**< the harp has no such note: the nearest of chord or scale */
  RL_TAB_NO_SLUR     = 1 << 1,
  RL_TAB_NO_SCOOP    = 1 << 2,
  RL_TAB_NO_BEND     = 1 << 3
} RlTabMark;

/** How one note is played. */
typedef struct {
  uint8_t hole;      /**< 1..10; 0: left out */
  uint8_t technique; /**< RlTechnique */
  uint8_t note;      /**< MIDI number that sounds */
  int8_t  octaves;   /**< it is moved up by so many, -5..5 */
  uint8_t marks;     /**< RlTabMark */
} RlTab;

enum {
  RL_TAB_CHOICES = 96, /**< more than any note has ways in all octaves */
  RL_TAB_PLACES  = 8,  /**< more than any harp has places for one pitch */
  RL_TAB_DOUBLES = 4   /**< more than any harp has pitches on two unbent reeds */
};

/** Private: a way to play all notes of one onset. */
typedef struct {
  uint8_t notes; /**< the highest is the last */
  uint8_t hole[RL_PHRASE_TOGETHER], technique[RL_PHRASE_TOGETHER], note[RL_PHRASE_TOGETHER];
  int8_t  octaves;
  uint8_t marks;
  int32_t cost; /**< its own; then that of the best way up to it */
} RlGrip;

/** Scratch memory, from the caller; need not be cleared. About 53 KiB. */
typedef struct {
  struct {
    uint8_t count, reeds, bound; /* places; unbent ones; the one it is bound to */
    uint8_t hole[RL_TAB_PLACES], technique[RL_TAB_PLACES];
  } on[128]; /**< by pitch */
  int     doubles;
  uint8_t pitch[RL_TAB_DOUBLES];
  int     grips[2];
  RlGrip  grip[2][RL_TAB_CHOICES]; /**< of this onset and the one before */
  uint8_t from[RL_PHRASE_NOTES_MAX][RL_TAB_CHOICES];
} RlTabWorkspace;

/** Finds the way that costs least for `count` notes (1 to RL_PHRASE_NOTES_MAX, in the order of a
    phrase), into `tab`, one for each note; returns its cost. `over` has the harmony of each
    RlNote.chord. Notes at once are blown or drawn together, in holes side by side or as the two
    ends of an octave; where that cannot be, as many as possible are kept, the highest always. Of
    ways that cost the same the one is taken whose last difference lies in the octave nearest to the
    one written, lower before higher, then in the lower hole, then in the technique that comes first
    in RlTechnique; before all of these the one whose first double is bound to the lower hole. */
int32_t rl_tab_fit(const RlNote *notes, int count, const RlHarmony *over, const RlHarp *harp,
                   RlPlayer player, RlTabWorkspace *workspace, RlTab *tab);

/** The same with every note as it is written: in its octave, none in its place, none left out. -1
    if that cannot be played, and `tab` means nothing. */
int32_t rl_tab_fit_whole(const RlNote *notes, int count, const RlHarmony *over, const RlHarp *harp,
                         RlPlayer player, RlTabWorkspace *workspace, RlTab *tab);

/** What one harp is worth for a phrase. */
typedef struct {
  RlHarpChoice choice;
  int32_t      cost;
  uint16_t     replaced; /**< notes replaced or left out */
} RlTabRank;

/** Fits a phrase to each of `count` harps, into `ranked` (space for `count`), the cheapest first;
   of equal ones in the order given. `tab` has space for all notes and is scratch memory too. */
void rl_tab_rank(const RlNote *notes, int note_count, const RlHarmony *over,
                 const RlHarpChoice *harps, int count, RlPlayer player, RlTabWorkspace *workspace,
                 RlTab *tab, RlTabRank *ranked);

#endif
