/* SPDX-License-Identifier: ISC */
/* Where something can be done in a window over a chart of twelve bars: prints the middle of its
   spot, in pixels. Usage: where WIDTH HEIGHT SCREEN LIST ACTION VALUE

     SCREEN   play, stage, harps, phrases, take (phrases with a take selected), edit (its notes),
              lifted (the same of a take with a picture of what it was lifted from),
              charts (with a dozen lines listed), trainer, practice or text
     LIST     the number of the setting whose list is open, -1: none
     ACTION   a word below
     VALUE    its number */
#include "ui/layout/layout.h"

#include "core/chart/chart.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static const char chart[] = "| I7 | % | % | % |\n| IV7 | % | I7 | % |\n| V7 | IV7 | I7 | V7 |\n";

static const struct {
  const char  *word;
  RlActionKind kind;
} actions[] = {{"bar", RL_ACTION_BAR_EDIT},
               {"text", RL_ACTION_CHART_TEXT},
               {"stage", RL_ACTION_STAGE},
               {"harps", RL_ACTION_HARPS},
               {"names", RL_ACTION_NOTE_NAMES},
               {"bar-one", RL_ACTION_BAR_ONE},
               {"tap", RL_ACTION_TAP},
               {"stop", RL_ACTION_STOP},
               {"field", RL_ACTION_FIELD_OPEN},
               {"choose", RL_ACTION_FIELD_CHOOSE},
               {"own", RL_ACTION_HARP_OWN},
               {"use", RL_ACTION_HARP_USE},
               {"keep", RL_ACTION_EDIT_KEEP},
               {"give-up", RL_ACTION_EDIT_CANCEL},
               {"phrases", RL_ACTION_PHRASES},
               {"put", RL_ACTION_PHRASE_PUT},
               {"bar-by", RL_ACTION_PHRASE_BAR},
               {"capture", RL_ACTION_CAPTURE},
               {"keep-last", RL_ACTION_KEEP_LAST},
               {"practice", RL_ACTION_PRACTICE},
               {"hear", RL_ACTION_HEAR},
               {"hear-record", RL_ACTION_HEAR_RECORD},
               {"note", RL_ACTION_NOTE_SELECT},
               {"edit", RL_ACTION_NOTE_EDIT},
               {"panel", RL_ACTION_PHRASE_PANEL},
               {"hold", RL_ACTION_TAKE_KEEP},
               {"discard", RL_ACTION_TAKE_DISCARD},
               {"sheet", RL_ACTION_SHEET},
               {"charts", RL_ACTION_CHARTS},
               {"place", RL_ACTION_CHARTS_PLACE},
               {"path", RL_ACTION_CHARTS_PATH},
               {"chart", RL_ACTION_CHART_SELECT},
               {"open", RL_ACTION_CHART_OPEN},
               {"save", RL_ACTION_CHART_SAVE},
               {"save-as", RL_ACTION_CHART_SAVE_AS},
               {"new", RL_ACTION_CHART_NEW},
               {"trainer", RL_ACTION_TRAINER},
               {"aim", RL_ACTION_AIM},
               {"missed", RL_ACTION_AIM_MISSED}};

static const char *const pages[] = {
  [RL_SCREEN_PLAY] = "play",   [RL_SCREEN_STAGE] = "stage",     [RL_SCREEN_SETTINGS] = "settings",
  [RL_SCREEN_HARPS] = "harps", [RL_SCREEN_PHRASES] = "phrases", [RL_SCREEN_CHARTS] = "charts",
  [RL_SCREEN_TEXT] = "text",   [RL_SCREEN_TRAINER] = "trainer", [RL_SCREEN_PRACTICE] = "practice"};

enum { PAGES = sizeof(pages) / sizeof(pages[0]) };

static RlScreen
page_named(const char *const word)
{
  int page = 0;
  while (page < PAGES && strcmp(pages[page], word) != 0) {
    ++page;
  }
  return page < PAGES ? (RlScreen)page : RL_SCREEN_TEXT;
}

int
main(const int argc, char **const argv)
{
  static RlForm        form;
  static RlLayout      layout;
  static RlViewPicture picture;
  static RlViewOnset   onset;
  static RlPlan        takes = {.phrase_count = 1};
  static RlEntry       entry[12];
  RlChartList          charts = {.count = 12, .entry = entry};
  RlChartError         error;
  RlView view = {.osc_to = "", .problem = "", .focus = -1, .edit.error_bar = -1, .follow = true};
  if (argc != 7 || !rl_chart_read(rl_slice(chart), &form, &error)) {
    return EXIT_FAILURE;
  }
  for (int i = 0; i < RL_PORTS; ++i) {
    view.port[i] = rl_ports[i].standard;
  }
  view.form            = &form;
  const bool lifted    = !strcmp(argv[3], "lifted");
  const bool edit      = lifted || !strcmp(argv[3], "edit");
  const bool take      = edit || !strcmp(argv[3], "take");
  view.screen          = page_named(take ? "phrases" : argv[3]);
  view.phrases.takes   = take ? &takes : NULL; /* the first phrase is one */
  view.phrases.picture = lifted ? &picture : NULL;
  view.phrases.onset   = &onset;
  view.phrases.onsets  = lifted; /* one note, which is corrected */
  view.phrases.panel   = edit ? RL_PHRASE_PANEL_EDIT : RL_PHRASE_PANEL_PUT;
  view.sheets          = true;
  view.charts.list     = &charts;
  view.edit.list       = atoi(argv[4]);
  view.harps.count     = RL_KEYS;
  rl_layout_make(&layout, &view, atoi(argv[1]), atoi(argv[2]));
  for (size_t d = 0; d < sizeof(actions) / sizeof(actions[0]); ++d) {
    for (int i = 0; !strcmp(actions[d].word, argv[5]) && i < layout.spots; ++i) {
      const RlSpot *const spot = &layout.spot[i];
      if (spot->action.kind == actions[d].kind && spot->action.value == atoi(argv[6])) {
        printf("%.0f %.0f\n", (spot->at.x + spot->at.w / 2) * layout.unit,
               (spot->at.y + spot->at.h / 2) * layout.unit);
        return EXIT_SUCCESS;
      }
    }
  }
  return EXIT_FAILURE;
}
