/* SPDX-License-Identifier: ISC */
/* What one picture shows: all that the drawing needs to know, and nothing that it may change. Plain
   data; whoever fills it (the window, the demo, a test) owns what it points to. */
#ifndef RL_UI_MODEL_VIEW_H
#define RL_UI_MODEL_VIEW_H

#include "ui/model/library.h"
#include "ui/model/text_input.h"

#include "core/arrange/finder.h"
#include "core/arrange/lane.h"
#include "core/arrange/target_line.h"
#include "core/chart/form.h"
#include "core/harmony/lamps.h"
#include "plugin/protocol/ports.h"
#include "plugin/protocol/properties.h"

enum { RL_TOLD_ROOM = 32, RL_REASON_MAX = 512, RL_PICK_BEST = 3 };

/** An urn:reedlamp:Place as the plugin tells it. */
typedef struct {
  bool     lit, rolling;
  RlPart   part;
  int      chorus, bar, bars, beats, unit, song_key;
  double   tempo, beat, sure, beats_to_next;
  char     now[RL_TOLD_ROOM], now_degree[RL_TOLD_ROOM];
  char     next[RL_TOLD_ROOM], next_degree[RL_TOLD_ROOM];
  RlTarget target;
  int      taking; /**< capture: 0 off, 1 armed, 2 and more: a take with so many notes and two */
} RlTold;

/** What fills the window. */
typedef enum {
  RL_PAGE_PLAY,     /**< now, comb, chart, settings */
  RL_PAGE_STAGE,    /**< now and comb alone */
  RL_PAGE_SETTINGS, /**< where the window is too small to show them all the time */
  RL_PAGE_HARPS,    /**< which harp? */
  RL_PAGE_PHRASES,  /**< which phrase, on which bar? */
  RL_PAGE_TEXT      /**< the whole chart or plan as text */
} RlPage;

/** What is being typed into. */
typedef enum {
  RL_EDIT_NOTHING,
  RL_EDIT_BAR,   /**< one bar of the chart */
  RL_EDIT_TEXT,  /**< the whole chart */
  RL_EDIT_PLAN,  /**< the whole plan */
  RL_EDIT_FIELD, /**< a setting: the start bar, the addresses */
  RL_EDIT_FIND   /**< what the phrases wanted are called */
} RlEdit;

/** What can be done at a place of the window. `value` says to what. */
typedef enum {
  RL_DO_NOTHING,
  RL_DO_BAR,      /**< edit a bar; the index in the form */
  RL_DO_TEXT,     /**< edit the chart as text */
  RL_DO_KEEP,     /**< what was typed */
  RL_DO_GIVE_UP,  /**< what was typed */
  RL_DO_BAR_MORE, /**< a bar with what was typed behind the one being edited */
  RL_DO_BAR_LESS, /**< take the bar out */
  RL_DO_LEAVE,    /**< the open list */
  RL_DO_STAGE,    /**< and back */
  RL_DO_SETTINGS, /**< and back */
  RL_DO_HARPS,    /**< and back */
  RL_DO_NAMES,    /**< note names or degrees */
  RL_DO_BAR_ONE,
  RL_DO_TAP,
  RL_DO_STOP,
  RL_DO_FIELD,     /**< open the list of a setting; an RlField */
  RL_DO_CHOOSE,    /**< an entry of the open list */
  RL_DO_OWN,       /**< tick a harp; its key */
  RL_DO_USE,       /**< take this harp; its place in the ranking */
  RL_DO_CARET,     /**< put the caret into what is being typed */
  RL_DO_PHRASES,   /**< and back */
  RL_DO_LANE,      /**< the same, on the lane */
  RL_DO_FIND,      /**< type what the phrases wanted are called */
  RL_DO_PICK,      /**< look at a phrase; its place in the library */
  RL_DO_PICK_BAR,  /**< another bar for it; by how many */
  RL_DO_PICK_MOVE, /**< another way to move it */
  RL_DO_PUT,       /**< on its bar */
  RL_DO_FREE,      /**< the bar of phrases */
  RL_DO_PLAN,      /**< edit the plan as text */
  RL_DO_CAPTURE,   /**< take down what is played on MIDI; ends it */
  RL_DO_NOTE,      /**< the note before or after, of a take looked at */
  RL_DO_SHIFT,     /**< that note one place earlier or later */
  RL_DO_UNNOTE,    /**< takes it out */
  RL_DO_HOLD,      /**< keep the take in the library */
  RL_DO_DISCARD,   /**< the take */
  RL_DO_SHEET,     /**< make the lesson sheet of what is in force */
  RL_DOINGS
} RlDo;

typedef struct {
  RlDo doing;
  int  value;
} RlDoing;

enum { RL_NO_FIELD = -1 };

typedef struct {
  RlTold        told; /**< beat and beats to the next chord as they are now */
  const RlForm *form; /**< the chart in force; NULL: none yet */
  float         port[RL_PORTS];
  const char   *osc_to;
  const char   *problem;
  const char   *notice; /**< what is said once, over everything; empty or NULL: nothing is */
  bool          sheets; /**< lesson sheets can be made */

  RlPage  page;
  bool    note_names;           /**< in the lamps, in the place of degrees */
  bool    calm;                 /**< reduced motion: what moves goes by steps */
  double  soon;                 /**< felt beats that the present chord lasts in all; 0: not known */
  double  fade;                 /**< 0 when the chord has just changed, 1 when its lamps are lit */
  char    before[RL_TOLD_ROOM]; /**< the chord it fades from, as a degree */
  int     focus;                /**< the spot the keyboard is at, -1: none */
  RlDoing pressed;              /**< what the button is down on */

  RlEdit             edit;
  int                edit_bar;   /**< index in the form of the bar being typed into */
  const RlTextInput *typing;     /**< while `edit` is not nothing */
  const char        *edit_error; /**< why it could not be kept; empty when it could */
  int                error_bar;  /**< the bar on paper (from 0) it is about, -1 none */
  int                list;       /**< the setting whose list is open, RL_NO_FIELD */
  int                scroll; /**< rows of the chart or lines of the text above the first shown */
  bool               follow; /**< the chart scrolls with the music */

  uint16_t         owned;    /**< keys of the harps owned in the present register and tuning */
  int              findings; /**< harps ranked, best first */
  const RlFinding *finding;
  RlShift          shift;  /**< how to move the recording where no harp fits */
  const RlTarget  *target; /**< by change, for the chart in force; NULL: none */

  const RlPlan    *takes;   /**< what has been taken down and is not kept yet */
  const RlLibrary *library; /**< phrases to choose from; NULL: not read yet */
  const char      *wanted;  /**< words in the titles of those listed; empty: all are */
  const int       *found;   /**< those listed, as `pick`; while something is wanted */
  int              founds;
  int              pick;      /**< the one looked at: the takes, then the library; -1: none */
  int              pick_note; /**< the onset of it that is being put right, from 0; takes alone */
  double pick_at; /**< where that one lies, in ticks from bar 1; the ending's behind the form's */
  RlPlanned     picked;                  /**< where to put it and how */
  const RlPlan *pick_plan;               /**< a plan of it alone */
  const RlLane *pick_lane;               /**< and what comes of it */
  int           pick_followed;           /**< notes that have become the chord's */
  RlHarpChoice  pick_best[RL_PICK_BEST]; /**< harps that play it most easily, the best first */
  int           pick_bests;

  const RlPlan *plan;  /**< in force; NULL: none */
  const RlLane *lane;  /**< its phrases on this harp */
  int           lanes; /**< another number: another lane */
} RlView;

/** What the control ports say. */
RlHarpChoice rl_view_harp(const RlView *view);
RlPlayer     rl_view_player(const RlView *view);
RlKey        rl_view_key(const RlView *view);

/** Is there a place to show? */
bool rl_view_placed(const RlView *view);

/** Index in RlForm.bar of the bar that sounds, -1 for none. */
int rl_view_index(const RlView *view);

/** The felt beat of this bar, from 0, and how many it has; 1 as long as nothing is known. */
double rl_view_felt(const RlView *view);
double rl_view_felt_beats(const RlView *view);

/** Where the music is, as the form has it. */
RlPlace rl_view_place(const RlView *view);

/** How many phrases there are to choose from, takes and library. */
int rl_view_picks(const RlView *view);

/** Are only some of them wanted? */
bool rl_view_wants(const RlView *view);

/** How many of them are listed: those wanted, or all; and which the one at `place` in the list is.
 */
int rl_view_listed(const RlView *view);
int rl_view_listed_pick(const RlView *view, int place);

/** Is that one a take? */
bool rl_view_is_take(const RlView *view, int pick);

/** Is it a part of a MIDI file? It becomes a take when it is looked at. */
bool rl_view_pick_midi(const RlView *view, int pick);

/** Is it the player's own, a take or in the folder? */
bool rl_view_pick_own(const RlView *view, int pick);

/** The title of one of them, and its tune. */
const char *rl_view_pick_title(const RlView *view, int pick);
RlSlice     rl_view_pick_tune(const RlView *view, int pick);

/** Is there a lane to show? */
bool rl_view_has_lane(const RlView *view);

/** Felt beats to the next chord. */
double rl_view_to_next(const RlView *view);

/** How near the next chord is: 0 four felt beats before it (or at the present chord's own
   beginning, if that is later), 1 when it comes. 0 where there is none. */
double rl_view_fill(const RlView *view);

#endif
