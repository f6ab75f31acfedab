/* SPDX-License-Identifier: ISC */
/* What one picture shows: everything that layout and drawing need to know, as plain data. Whoever
   fills it (controller, demo, test) owns what it points to. The functions below are pure. */
#ifndef RL_UI_MODEL_VIEW_H
#define RL_UI_MODEL_VIEW_H

#include "core/abc/tune_edit.h"
#include "ui/files/chart_list.h"
#include "ui/files/library.h"
#include "ui/model/picture.h"
#include "ui/model/played.h"
#include "ui/model/practice.h"
#include "ui/model/text_input.h"

#include "core/arrange/finder.h"
#include "core/arrange/lane.h"
#include "core/arrange/target_line.h"
#include "core/arrange/ways.h"
#include "core/chart/form.h"
#include "core/harmony/lamps.h"
#include "core/phrase/note_edit.h"
#include "plugin/protocol/hear_take.h"
#include "plugin/protocol/ports.h"
#include "plugin/protocol/properties.h"

enum { RL_REPORT_TEXT_SIZE = 32, RL_REASON_MAX = 512, RL_BEST_HARPS = 3 };

/** Where the music is: a urn:reedlamp:Place as the plugin reports it (plugin/PORTS.md). Beats are
    those of the bar's meter and count from 1, bars and choruses too; texts are ASCII. */
typedef struct {
  bool     lit, rolling;
  RlPart   part;
  int      chorus, bar, bars, beats, unit, song_key;
  double   tempo, beat, sure, beats_to_next;
  char     now[RL_REPORT_TEXT_SIZE], now_degree[RL_REPORT_TEXT_SIZE];
  char     next[RL_REPORT_TEXT_SIZE], next_degree[RL_REPORT_TEXT_SIZE];
  RlTarget target;
  double   bar_one_at;       /**< the DAW's bar where `bar one` has put bar 1; 0: nowhere */
  double   bar_one_quarters; /**< the same by beats: quarters from the start bar */
  double loop_from, loop_to; /**< a loop of the host, in bars from bar 1 of chorus 1; else equal */
  int    show;               /**< an RlShow; 0: all */
  RlTarget landed; /**< of the chord now, while targets alone are shown; hole and technique */
  bool     sounds; /**< something is listened to */
  int      taking; /**< recording: 0: off, 1: armed, from 2 on: a take with `taking - 2` notes */
} RlPlaceReport;

/** How following by ear goes: a urn:reedlamp:Hearing (plugin/PORTS.md). */
typedef struct {
  RlHearingState state;
  bool           tuned; /**< `cents` is known */
  int            cents; /**< that the recording lies above A = 440 Hz */
  int            key;   /**< pitch class of the tonic, RL_KEY_NOT_HEARD */
  double         key_sure;
} RlHearingReport;

/** What fills the window. */
typedef enum {
  RL_SCREEN_PLAY,     /**< now, comb, chart, settings */
  RL_SCREEN_STAGE,    /**< now and comb alone */
  RL_SCREEN_SETTINGS, /**< where the window is too small to show them all the time */
  RL_SCREEN_HARPS,    /**< which harp? */
  RL_SCREEN_PHRASES,  /**< which phrase, on which bar? */
  RL_SCREEN_TEXT,     /**< the whole chart or plan as text */
  RL_SCREEN_CHARTS,   /**< charts in files: open, save */
  RL_SCREEN_TRAINER,  /**< one note, aimed at and held */
  RL_SCREEN_PRACTICE  /**< chorus by chorus, day by day */
} RlScreen;

/** What is being typed into. */
typedef enum {
  RL_EDIT_NOTHING,
  RL_EDIT_BAR,    /**< one bar of the chart */
  RL_EDIT_TEXT,   /**< the whole chart */
  RL_EDIT_PLAN,   /**< the whole plan */
  RL_EDIT_FIELD,  /**< a setting: the start bar, the addresses */
  RL_EDIT_FIND,   /**< words to search the titles of phrases, or charts, for */
  RL_EDIT_PATH,   /**< the folder whose charts are listed */
  RL_EDIT_NAME,   /**< of the file that a chart is saved in */
  RL_EDIT_TITLE,  /**< of the selected phrase */
  RL_EDIT_REMARK, /**< likewise */
  RL_EDIT_FEEL    /**< likewise */
} RlEdit;

/** What can be done at a spot of the window, or by a key. The comment says what RlAction.value is.
 */
typedef enum {
  RL_ACTION_NONE,
  RL_ACTION_BAR_EDIT,      /**< types a bar of the chart; its index in the form */
  RL_ACTION_CHART_TEXT,    /**< types the chart as text */
  RL_ACTION_EDIT_KEEP,     /**< keeps what was typed */
  RL_ACTION_EDIT_CANCEL,   /**< gives it up */
  RL_ACTION_BAR_INSERT,    /**< keeps it as a new bar after the one being edited */
  RL_ACTION_BAR_DELETE,    /**< deletes the bar being edited */
  RL_ACTION_LIST_CLOSE,    /**< closes the open list */
  RL_ACTION_STAGE,         /**< shows a screen, or goes back from it */
  RL_ACTION_SETTINGS,      /**< likewise */
  RL_ACTION_HARPS,         /**< likewise */
  RL_ACTION_NOTE_NAMES,    /**< note names in place of degrees, or back */
  RL_ACTION_BAR_ONE,       /**< bar 1 is now */
  RL_ACTION_TAP,           /**< a tap of the beat */
  RL_ACTION_STOP,          /**< stops the player's clock */
  RL_ACTION_FIELD_OPEN,    /**< opens the list of a setting; an RlField */
  RL_ACTION_FIELD_CHOOSE,  /**< chooses from the open list; the entry, from 0 */
  RL_ACTION_HARP_OWN,      /**< ticks a harp as owned, or not; its key, 0 (C) to 11 */
  RL_ACTION_HARP_USE,      /**< sets the plugin to a harp; its index in the ranking */
  RL_ACTION_CARET,         /**< puts the caret where the button went down */
  RL_ACTION_PHRASES,       /**< shows a screen, or goes back from it */
  RL_ACTION_LANE,          /**< likewise, by a click on the lane */
  RL_ACTION_FIND,          /**< types words to search for */
  RL_ACTION_PHRASE_SELECT, /**< selects a phrase; its number, see RlViewPhrases */
  RL_ACTION_PHRASE_BAR,    /**< puts it on another bar; by how many */
  RL_ACTION_PHRASE_MOVE,   /**< the next RlMove for it */
  RL_ACTION_PHRASE_PUT,    /**< puts it into the plan */
  RL_ACTION_BAR_CLEAR,     /**< clears its bar in the plan */
  RL_ACTION_PLAN_TEXT,     /**< types the plan as text */
  RL_ACTION_CAPTURE,       /**< begins or ends recording MIDI */
  RL_ACTION_NOTE_SELECT,   /**< selects the note before (-1) or after (1), of the selected phrase */
  RL_ACTION_NOTE_PICK,     /**< selects a note of it; its onset, from 0 */
  RL_ACTION_NOTE_UNSURE,   /**< selects the next note that is perhaps none */
  RL_ACTION_NOTE_EDIT,     /**< changes the selected note; an RlNoteEdit */
  RL_ACTION_TAKE_KEEP,     /**< moves the take into the library */
  RL_ACTION_TAKE_DISCARD,  /**< discards the take */
  RL_ACTION_SHEET,         /**< makes the lesson sheet */
  RL_ACTION_CHARTS,        /**< shows a screen, or goes back from it */
  RL_ACTION_CHARTS_PLACE,  /**< lists other charts; an RlChartsPlace */
  RL_ACTION_CHARTS_PATH,   /**< types the folder whose charts are listed */
  RL_ACTION_CHART_SELECT,  /**< selects a line of the list of charts; its number, from 0 */
  RL_ACTION_CHART_OPEN,    /**< opens the selected chart */
  RL_ACTION_CHART_SAVE,    /**< saves the chart in force where it came from */
  RL_ACTION_CHART_SAVE_AS, /**< types the name of a file to save it in */
  RL_ACTION_CHART_NEW,     /**< asks for the key of a new chart */
  RL_ACTION_CHART_KEY,     /**< makes it; 0 (C) to 11, from 12 on minor */
  RL_ACTION_CHARTS_ANSWER, /**< answers what is asked; an RlChartsAnswer */
  RL_ACTION_HALF_TIME,     /**< by ear: the beat is half as fast */
  RL_ACTION_DOUBLE_TIME,   /**< twice as fast */
  RL_ACTION_UNDO,          /**< undoes the last step */
  RL_ACTION_PRACTICE,      /**< shows a screen, or goes back from it */
  RL_ACTION_CHORUS,        /**< likewise, by a click on the line after a chorus */
  RL_ACTION_KEEP_LAST,     /**< makes a take of what was just played */
  RL_ACTION_REDO,          /**< does the last undone step again */
  RL_ACTION_TRAINER,       /**< shows a screen, or goes back from it */
  RL_ACTION_AIM,           /**< aims at a note; its hole * RL_TECHNIQUES + its technique */
  RL_ACTION_AIM_MISSED,    /**< aims at the bend missed most, then at the next one */
  RL_ACTION_AIM_TEMPER,    /**< takes the reeds as tuned just, or equal again */
  RL_ACTION_PHRASE_PANEL,  /**< shows other buttons for the selected phrase; an RlPhrasePanel */
  RL_ACTION_PHRASE_TITLE,  /**< types its title */
  RL_ACTION_PHRASE_REMARK, /**< types its remark */
  RL_ACTION_PHRASE_FEEL,   /**< types its feel */
  RL_ACTION_PHRASE_OVER,   /**< the next chord that it is meant to be played over */
  RL_ACTION_PHRASE_HARD,   /**< the next difficulty */
  RL_ACTION_PHRASE_COPY,   /**< makes a copy of it */
  RL_ACTION_PHRASE_DELETE, /**< deletes it */
  RL_ACTION_WAY_TAKE,      /**< takes the selected phrase another way; its index */
  RL_ACTION_LIST_ORDER,    /**< the next RlListOrder */
  RL_ACTION_LIST_OVER,     /**< lists those that go over the chord of the bar in hand, or all */
  RL_ACTION_LIST_LENGTH,   /**< lists those of one, two, four bars at most, or all */
  RL_ACTION_LIST_HARD,     /**< lists those that are easy, at most medium, that sit, or all */
  RL_ACTION_BARS_LIFT,     /**< writes down the chosen bars of the track */
  RL_ACTION_HEAR,          /**< plays the selected phrase, or stops what sounds */
  RL_ACTION_HEAR_RECORD,   /**< plays what the take was lifted from */
  RL_ACTION_HEAR_BOTH,     /**< the take, then that */
  RL_ACTION_HEAR_SPEED,    /**< the next RlSpeed */
  RL_ACTION_HEAR_STOP,     /**< stops it */
  RL_ACTION_HEAR_WAY,      /**< plays it taken another way; its index */
  RL_ACTIONS
} RlActionKind;

typedef struct {
  RlActionKind kind;
  int          value;
} RlAction;

enum { RL_NO_FIELD = -1 };

/** The change of chord that is going on. */
typedef struct {
  double fade; /**< 0: the chord has just changed, 1: its lamps are fully lit */
  char   before[RL_REPORT_TEXT_SIZE]; /**< the chord it fades from, as a degree; or empty */
} RlViewChange;

/** The bars that are chosen to be written down: indices in the form, in any order. */
typedef struct {
  bool chosen;
  int  from, to;
} RlViewBars;

/** What is being typed, and the open list of a setting. */
typedef struct {
  RlEdit             kind;
  int                bar;       /**< index in the form of the bar being typed into */
  const RlTextInput *input;     /**< while `kind` is not RL_EDIT_NOTHING */
  const char        *error;     /**< why it could not be kept; empty when it could */
  int                error_bar; /**< the bar as written (from 0) the error is about, -1: none */
  int                list;      /**< the setting whose list is open, RL_NO_FIELD: none is */
} RlViewEdit;

/** The harps that could be played, for "which harp?". */
typedef struct {
  uint16_t         owned;  /**< bit n: the harp in key n, in the present register and tuning */
  int              count;  /**< of `ranked` */
  const RlFinding *ranked; /**< the best first */
  RlShift          shift;  /**< how to transpose the recording where no harp fits */
} RlViewHarps;

/** How reading the library goes. */
typedef enum {
  RL_READ_ALL, /**< it is read, or was not asked for */
  RL_READ_GOING_ON,
  RL_READ_NO_ANSWER, /**< for some seconds */
  RL_READ_NOT_NOW    /**< it cannot be begun */
} RlReading;

/** Which buttons stand below the selected phrase. */
typedef enum {
  RL_PHRASE_PANEL_PUT,    /**< on which bar, how it is moved; a take kept or let go */
  RL_PHRASE_PANEL_EDIT,   /**< its notes */
  RL_PHRASE_PANEL_ABOUT,  /**< its title and tags, of a phrase of the library */
  RL_PHRASE_PANEL_WAYS,   /**< the ways to take it */
  RL_PHRASE_PANEL_LISTEN, /**< plays it */
  RL_PHRASE_PANEL_LIST,   /**< which phrases are listed, in which order */
  RL_PHRASE_PANELS
} RlPhrasePanel;

/** In which order the phrases of the library are listed. */
typedef enum {
  RL_LIST_BY_FILE,
  RL_LIST_BY_TITLE,
  RL_LIST_BY_LENGTH, /**< the shortest first */
  RL_LIST_BY_EASE,   /**< the easiest on this harp first */
  RL_LIST_ORDERS
} RlListOrder;

/** Which of them are listed: by what fits the bar in hand, on the harp in hand. */
typedef struct {
  RlListOrder order;
  bool        over;   /**< those that go over its chord */
  int         length; /**< bars at most; 0: any */
  int         hard;   /**< RlDifficulty at most, and one; 3: any that sits, 0: any */
} RlViewList;

enum { RL_WAY_TAB_SIZE = 160 };

/** An onset of the selected phrase as it is written. */
typedef struct {
  int32_t at, lasts; /**< ticks from the first beat of the phrase's bar */
  int16_t low, high; /**< MIDI numbers: its lowest note, its highest */
  bool    perhaps;   /**< it is perhaps no note (core/phrase/sure.h) */
} RlViewOnset;

/** The phrases to choose from, and the selected one. They are numbered from 0: the takes first,
    then those of the library. */
typedef struct {
  const RlPlan      *takes;   /**< recorded and not kept yet */
  const RlLibrary   *library; /**< NULL: not read yet */
  RlReading          reading;
  bool               writing; /**< what was changed is on its way into the files */
  const char        *query;   /**< words that the titles of those listed have; empty: all are */
  RlViewList         list;
  const int         *found; /**< the numbers of those listed, while not all are as they lie */
  int                found_count;
  int                selected; /**< -1: none */
  RlPhrasePanel      panel;
  RlSpeed            speed;     /**< at which it is listened to */
  bool               just_kept; /**< the title that is typed is that of a take just kept */
  RlAbcTags          tags;      /**< of the selected phrase */
  const RlViewOnset *onset;     /**< of the selected phrase, while it can be read */
  int                onsets;
  int                note;      /**< the onset being corrected, from 0 */
  double             starts;    /**< the first beat of its bar, in ticks from bar 1; the ending lies
                                     after the form */
  RlPlanned            planned; /**< on which bar to put the selected phrase, and how */
  const RlViewPicture *picture; /**< what the selected take was lifted from; NULL: not known */
  bool          unheard;  /**< nothing is known any more of the sound that it was lifted from */
  const RlPlan *plan;     /**< a plan of that phrase alone */
  const RlLane *lane;     /**< that plan as tab */
  int           followed; /**< how many of its notes were moved to follow the chord */
  const char   *home;     /**< the key that it is written in, and its remark speaks of; or NULL */
  const char   *left_out; /**< what its tune has and a phrase has no room for, in words; or NULL */
  RlHarpChoice  best[RL_BEST_HARPS]; /**< harps that play it most easily, the best first */
  int           best_count;
  RlWay         way[RL_WAYS_MAX]; /**< while they are shown: to take it, the cheapest first */
  int           way_count;
  char          way_tab[RL_WAYS_MAX][RL_WAY_TAB_SIZE]; /**< the tab of each */
} RlViewPhrases;

/** Which charts are listed. */
typedef enum {
  RL_CHARTS_RECENT,
  RL_CHARTS_OWN,     /**< in the player's own folder */
  RL_CHARTS_PRESETS, /**< that come along */
  RL_CHARTS_BESIDE,  /**< in the folder of the chart that was opened or saved last */
  RL_CHARTS_PLACES,
  RL_CHARTS_FOLDER = RL_CHARTS_PLACES /**< in any other folder */
} RlChartsPlace;

/** What is asked. */
typedef enum {
  RL_CHARTS_ASK_NOTHING,
  RL_CHARTS_ASK_LOST, /**< before a chart that is in no file is lost */
  RL_CHARTS_ASK_OVER, /**< before a file is written over that holds something else */
  RL_CHARTS_ASK_GONE, /**< before a file is written anew that somebody took away */
  RL_CHARTS_ASK_NAME, /**< the name of a file */
  RL_CHARTS_ASK_KEY   /**< the key of a new chart */
} RlChartsAsk;

typedef enum {
  RL_CHARTS_SAVE_FIRST,
  RL_CHARTS_OPEN_ANYWAY,
  RL_CHARTS_SAVE_OVER,
  RL_CHARTS_SAVE_AGAIN,
  RL_CHARTS_SAVE_NAME,
  RL_CHARTS_OTHER_NAME,
  RL_CHARTS_CANCEL
} RlChartsAnswer;

enum { RL_CHART_KEYS = 24 /**< twelve major ones, twelve minor ones */ };

/** Charts in files. The lines of the list are numbered from 0. */
typedef struct {
  RlChartsPlace      place;
  const char        *folder; /**< that is listed; empty: the recent charts */
  const RlChartList *list;
  bool               reading; /**< there may be more to come */
  const char        *query;   /**< words that those listed have; empty: all are */
  const int         *found;   /**< the numbers of those listed, while there is a query */
  int                found_count;
  int                selected; /**< -1: none */
  const RlForm      *form;     /**< the selected chart; NULL: not read, or no chart */
  const char        *wrong;    /**< what is wrong with it; empty: nothing */
  const char        *file;     /**< where the chart in force came from; empty: from no file */
  bool               saved;    /**< it has not been changed since */
  const char        *words;    /**< what has happened; empty: nothing */
  bool               alarm;    /**< those say that something is wrong */
  RlChartsAsk        ask;
  const char        *question;
} RlViewCharts;

/** All that one picture shows. */
typedef struct {
  RlPlaceReport   report; /**< its beat and beats_to_next as they are now */
  RlHearingReport hearing;
  RlPlayedReport  played; /**< what the player is heard to play */
  RlViewHits      hits;
  const RlForm   *form;         /**< the chart in force; NULL: none yet */
  const RlPlan   *plan;         /**< the plan in force; NULL: none */
  const RlLane   *lane;         /**< the plan as tab for this harp */
  int             lane_version; /**< changes whenever the lane does */
  float           port[RL_PORTS];
  const char     *osc_to;
  const char     *problem;
  const char     *notice; /**< shown over everything, until the next click or key; empty or NULL:
                               none */
  bool told;              /**< the plugin has said where the music is, if only that nobody knows */
  bool silent;            /**< it answers no more: the host does not run it */
  bool sheets;            /**< lesson sheets can be made */
  bool drawing_sheet;     /**< one is being made */
  bool undo, redo;        /**< there is a step to be undone, one to be done again */

  RlScreen     screen;
  bool         note_names; /**< in the lamps, in place of degrees */
  bool         calm;       /**< reduced motion: what moves goes by steps */
  RlViewChange change;
  int          focus;   /**< the spot that has the keyboard focus, -1: none */
  RlAction     pressed; /**< the action whose button is held down */
  int          scroll;  /**< rows of the chart, entries of a list or lines of a text that lie above
                             the first one shown */
  bool follow;          /**< the chart scrolls with the music */

  RlViewBars             bars;
  RlViewEdit             edit;
  RlViewHarps            harps;
  RlViewPhrases          phrases;
  RlViewCharts           charts;
  RlViewTrainer          trainer;
  const RlPracticeShown *practice; /**< NULL: nothing is known of it */
} RlView;

/** What the control ports say: the harp, how the player plays, and the key of the song (the port's,
    else the chart's, else G). */
RlHarpChoice rl_view_harp(const RlView *view);
RlPlayer     rl_view_player(const RlView *view);
RlKey        rl_view_key(const RlView *view);

/** How much of it all is shown. */
RlShow rl_view_show(const RlView *view);

/** Is more shown than is set, since choruses went well? */
bool rl_view_grown(const RlView *view);

/** Does the song follow the sound of the track? */
bool rl_view_by_ear(const RlView *view);

/** Has `bar one is now` put bar 1 somewhere? */
bool rl_view_bar_one(const RlView *view);

/** Is it known where the music is? */
bool rl_view_placed(const RlView *view);

/** Index in RlForm.bar of the bar that sounds, -1: none. */
int rl_view_index(const RlView *view);

/** The felt beat within this bar, from 0, and how many the bar has; 0 and 1 without a place. A felt
    beat is what a foot taps: three eighths in 12/8. */
double rl_view_felt(const RlView *view);
double rl_view_felt_beats(const RlView *view);

/** Felt beats to the next chord. */
double rl_view_to_next(const RlView *view);

/** How near the next chord is: 0 four felt beats before it (or when the present chord begins, if
   that is later), 1 when it comes; 0 where there is none. */
double rl_view_fill(const RlView *view);

/** The place as the form has it. */
RlPlace rl_view_place(const RlView *view);

/** Is the music in a loop of the host? Then bars, counted from bar 1 of chorus 1, to where it is
   and the place it goes back to. */
bool rl_view_loop(const RlView *view, double *now, RlPlace *start);

/** Index in the form of the bar in which the next chord begins, -1: none. */
int rl_view_next_bar(const RlView *view);

/** The first and the last bar that are chosen, from 0; false if none are. */
bool rl_view_chosen(const RlView *view, int *first, int *last);

/** Is a note heard: its hole (from 1) * RL_TECHNIQUES + its technique? */
bool rl_view_sounds(const RlView *view, int note);

/** The zone of a blue note (rl_blue_zone()), where it is no tone of the chord that sounds: that
   would be played true. */
bool rl_view_blue_zone(const RlView *view, int midi, float *low, float *high);

/** Where a heard note is shown: the technique of its lamp. What lies in the zone of a blue note
   that is bent in the same hole is shown there, `cents` above that note. */
RlTechnique rl_view_heard_as(const RlView *view, const RlPlayedSound *note, double *cents);

/** Is the player listened to? */
bool rl_view_listens(const RlView *view);

/** Was this note of the plan played, at `ticks` from bar 1 of chorus 1? */
bool rl_view_hit(const RlView *view, int hole, RlTechnique technique, double ticks);

/** Is there a plan to show as a lane? */
bool rl_view_has_lane(const RlView *view);

/** How many phrases there are to choose from: takes and library. They are numbered from 0. */
int rl_view_phrases(const RlView *view);

/** Are only some of them listed, or in another order? */
bool rl_view_searches(const RlView *view);

/** How many are listed; and the number of the phrase at `place` (from 0) in the list. */
int rl_view_listed(const RlView *view);
int rl_view_listed_phrase(const RlView *view, int place);

/** Is a phrase a take; a part of a MIDI file, which becomes a take when it is selected; the
   player's own (a take, or from the player's folder)? The first two are false for a number that is
   none. */
bool rl_view_is_take(const RlView *view, int phrase);
bool rl_view_phrase_is_midi(const RlView *view, int phrase);
bool rl_view_phrase_is_own(const RlView *view, int phrase);

/** The same of charts and folders. */
int rl_view_charts_listed(const RlView *view);
int rl_view_listed_chart(const RlView *view, int place);

/** Is the selected phrase a take that was lifted from the track? */
bool rl_view_lifted(const RlView *view);

/** Is something of the selected phrase being typed: title, remark, feel? */
bool rl_view_types_phrase(const RlView *view);

/** Are its notes being corrected? */
bool rl_view_corrects(const RlView *view);

/** How many of its notes are perhaps none. */
int rl_view_perhaps(const RlView *view);

/** As RlLibraryPhrase.left, 0 for a take. The phrase must exist. */
int rl_view_phrase_left(const RlView *view, int phrase);

/** Its title, and its tune in ABC. The phrase must exist. */
const char *rl_view_phrase_title(const RlView *view, int phrase);
RlSlice     rl_view_phrase_tune(const RlView *view, int phrase);

#endif
