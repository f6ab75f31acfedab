/* SPDX-License-Identifier: ISC */
/* The controller's state, in parts: one for each file of this room. Included by the room's own
   sources only. */
#ifndef RL_UI_CONTROLLER_CONTROLLER_STATE_H
#define RL_UI_CONTROLLER_CONTROLLER_STATE_H

#include "ui/controller/chart_files.h"
#include "ui/controller/chart_origin.h"
#include "ui/controller/chart_saving.h"
#include "ui/controller/charts.h"
#include "ui/controller/clips.h"
#include "ui/controller/controller.h"
#include "ui/controller/editing.h"
#include "ui/controller/harp_chooser.h"
#include "ui/controller/lesson_sheet.h"
#include "ui/controller/phrase_files.h"
#include "ui/controller/phrase_picker.h"
#include "ui/controller/phrase_search.h"
#include "ui/controller/place.h"
#include "ui/controller/playing.h"
#include "ui/controller/redraw.h"
#include "ui/controller/scrolling.h"
#include "ui/controller/settings.h"
#include "ui/controller/take_picture.h"
#include "ui/controller/training.h"
#include "ui/controller/undo.h"

#include "core/chart/chart.h"

/** Memory to work in. No function may expect anything in it from an earlier call. */
typedef struct {
  RlForm          form;
  RlPlan          plan;
  RlLaneWorkspace lane;
  char            text[RL_CHART_MAX + 2]; /**< a chart or plan to be sent */
} RlScratch;

_Static_assert((int)RL_PLAN_MAX <= (int)RL_CHART_MAX, "RlScratch.text holds a plan too");

_Static_assert((int)RL_TEXT_INPUT_SIZE > (int)RL_CHART_MAX, "a whole chart or plan can be typed");
_Static_assert((int)RL_TEXT_INPUT_SIZE >= (int)RL_ADDRESS_SIZE, "all addresses can be typed");

struct RlController {
  RlControllerPlugin plugin;
  double             scale; /**< the host's, 1 to 3 */
  RlTextCache       *text_cache;
  RlView             view; /**< what is shown; points into the parts below */

  /* what the plugin said last */
  RlForm          form; /**< valid once view.form points to it */
  RlPlan          plan;
  RlLane          lane; /**< the plan on the harp that is set */
  RlPlan          takes;
  RlPracticeShown practice;
  char            practised[RL_PLAN_MAX + 1]; /**< the property, of all songs */
  char            osc_to[RL_ADDRESS_SIZE], problem[RL_PROBLEM_SIZE];
  char            notice[RL_PROBLEM_SIZE]; /**< shown until the next click or key */

  RlPlaceState       place;
  RlSettings         settings;
  RlEditing          editing;
  RlHarpChooser      harps;
  RlPhrasePicker     picker;
  RlPhraseFiles      phrase_files;
  RlClips            clips;
  RlPhraseSearch     search;
  RlTakePicture      take_picture;
  RlCharts           charts;
  RlChartOrigin      origin;
  RlChartFiles       files;
  RlChartSaving      saving;
  RlPlaying          playing;
  RlTraining         training;
  RlScrolling        scrolling;
  RlControllerSheets sheets; /**< no function: there are no sheets */
  RlUndo             undo;
  RlRedraw           redraw;
  RlScratch          scratch;
};

/** Brings up to date what depends on settings, chart and plan: the lane, the phrase picked, the
    ranking of harps. */
void rl_controller_refresh(RlController *controller);

#endif
