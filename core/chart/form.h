/* SPDX-License-Identifier: ISC */
/* The form: the bars, chords and sections of a chart, repeats unrolled; and which place of it
   sounds at a moment. Built once by core/chart/chart, immutable after that. Reading is real-time
   safe, any thread. */
#ifndef RL_CORE_CHART_FORM_H
#define RL_CORE_CHART_FORM_H

#include "core/harmony/chord.h"
#include "core/meter/meter.h"

enum {
  RL_CHART_MAX      = 16384, /**< bytes of chart text */
  RL_BARS_MAX       = 512,   /**< after repeats, the ending included */
  RL_BAR_CHORDS_MAX = 8,
  RL_CHORDS_MAX     = RL_BARS_MAX * RL_BAR_CHORDS_MAX,
  RL_SECTIONS_MAX   = 128,
  RL_BAR_BEATS_MAX  = 32
};

/** A part of the form's own text: first byte and bytes. */
typedef struct {
  uint16_t at, length;
} RlSpan;

/** A chord and the beat of its bar (from 0) on which it begins. */
typedef struct {
  RlChord chord;
  uint8_t beat;
} RlFormChord;

/** A bar after repeats. */
typedef struct {
  uint16_t first_chord;  /**< index in chords */
  uint16_t first_change; /**< index of the change that sounds at its first beat */
  uint16_t written;      /**< the bar on paper, from 0 */
  uint8_t  chords;
  uint8_t  beats;   /**< of the meter, 1..32 */
  uint8_t  unit;    /**< the meter's note value: 1, 2, 4, 8, 16, 32 */
  uint8_t  section; /**< index in sections, RL_SECTIONS_MAX before the first */
} RlBar;

/** A point where the chord's name changes. The first is the first beat of bar 1. */
typedef struct {
  uint16_t bar;   /**< index in bars */
  uint16_t chord; /**< index in chords */
  uint8_t  beat;  /**< from 0 */
} RlChange;

/** The axis along which a place is measured. */
typedef enum {
  RL_AXIS_BARS,     /**< bars of the DAW, one for each bar of the form */
  RL_AXIS_QUARTERS, /**< quarter notes */
  RL_AXIS_FELT,     /**< felt beats: the meter's own, a dotted quarter in 6/8, 9/8, 12/8 */
  RL_AXES
} RlAxis;

/** A whole chart. About 140 KiB: keep it off the stack. */
typedef struct {
  uint16_t bars;        /**< in a chorus, 1..512 */
  uint16_t ending_bars; /**< after the last chorus, stored behind the chorus */
  uint16_t chords, sections;
  uint16_t changes, ending_changes; /**< stored the same way */
  uint16_t lead_in;                 /**< bars before bar 1 */
  uint16_t lead_in_from;            /**< bar (from 1) played there, 0: no chords */
  uint16_t choruses;                /**< 0: for ever */
  uint8_t  rules;                   /**< of charts that it was read under, 1 or 2 (CHART.md) */
  bool     has_key;
  RlKey    key;                     /**< as written; G major if has_key is false */
  double   tempo;                   /**< felt beats a minute, 0 if the chart does not say */
  uint8_t  meter_beats, meter_unit; /**< the header's */
  RlSpan   title, feel;
  uint16_t paper_bars; /**< on paper, the ending included, 1..512 */

  RlBar       bar[RL_BARS_MAX];
  RlFormChord chord[RL_CHORDS_MAX];
  RlChange    change[RL_CHORDS_MAX];
  RlSpan      section[RL_SECTIONS_MAX];
  RlSpan      paper[RL_BARS_MAX]; /**< of RlBar.written: the first to the last word of a bar,
                                       a meter at its head included; may run over lines */
  double   starts[RL_AXES][RL_BARS_MAX + 1]; /**< of every bar, bar 1 at 0, along each axis */
  uint16_t text_length;
  char     text[RL_CHART_MAX + 1]; /**< as it was typed, NUL-terminated */
} RlForm;

/** Fills in changes and starts from bars and chords. The parser's last step. */
void rl_form_finish(RlForm *form);

/** The text of a span (`title`, …). */
RlSlice rl_form_text(const RlForm *form, RlSpan span);

/** The key the song sounds in: its tonic 0..11, anything else for the chart's own; the mode is the
    chart's. The chart's tonic stays as it is spelled there, any other has its usual name. */
RlKey rl_form_key(const RlForm *form, int tonic);

/** Which part of the song is sounding. */
typedef enum {
  RL_PART_NOWHERE, /**< nothing says where we are */
  RL_PART_BEFORE,  /**< before the lead-in */
  RL_PART_LEAD_IN,
  RL_PART_CHORUS,
  RL_PART_ENDING,
  RL_PART_OVER
} RlPart;

/** A place in the song. */
typedef struct {
  RlPart part;
  int    chorus; /**< from 1; 0 before bar 1; the last one during the ending and after */
  int    bar; /**< as shown: 1..bars, bars+1… in the ending, -1 the bar before bar 1, 0 nowhere */
  int    index;          /**< in RlForm.bar, -1 where no bar of the form sounds */
  double beat;           /**< 0 up to (not incl.) beats */
  int    beats, unit;    /**< this bar's meter */
  double beats_per_step; /**< beats for each 1 along the axis, here */
} RlPlace;

/** The place `at` along `axis`, measured from the first beat of bar 1 in chorus 1. Less than
   `slack` (along the axis) before a whole beat counts as that beat. */
RlPlace rl_form_locate(const RlForm *form, RlAxis axis, double at, double slack);

/** The inverse of rl_form_locate(): quarters from the first beat of bar 1 in chorus 1 to `beat` (of
    the bar's own, from 0) of the bar at `place`. Its part must be neither RL_PART_NOWHERE nor
    RL_PART_OVER. */
double rl_form_quarters(const RlForm *form, const RlPlace *place, double beat);

/** The distance along `axis` of the bar line nearest to `at`; a tie goes to the bar just begun. */
double rl_form_nearest_bar(const RlForm *form, RlAxis axis, double at);

/** The length of the lead-in along `axis`. */
double rl_form_lead_in(const RlForm *form, RlAxis axis);

/** Chord changes around a place, as indices in RlForm.change, -1 for none. */
typedef struct {
  int    now, next;
  double beats_to_next; /**< in the meters' own beats; 0 if there is no next */
} RlChordsAt;

/** The chord now and the next one whose name differs, across the end of the form too. */
RlChordsAt rl_form_chords_at(const RlForm *form, const RlPlace *place);

/** Felt beats since the chord that sounds began, be it in another bar, chorus or the lead-in; 0
   where no bar of the form sounds. */
double rl_form_felt_since_chord(const RlForm *form, const RlPlace *place);

/** The harmony at a place in a key: N.C. where no bar of the form sounds. */
RlHarmony rl_form_harmony(const RlForm *form, const RlPlace *place, RlKey key);

/** The chord of a change, an index in RlForm.change. */
RlChord rl_form_chord(const RlForm *form, int change);

#endif
