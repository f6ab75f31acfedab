/* SPDX-License-Identifier: ISC */
/* Where something can be done in a window over a chart of twelve bars: the middle of its spot, in
   pixels. Usage: where WIDTH HEIGHT PAGE LIST DOING VALUE PAGE   play, stage, harps, phrases, take
   (phrases with one looked at) or text LIST the number of the setting whose list is open, -1 for
   none DOING  a word below, VALUE its number
 */
#include "ui/layout/layout.h"

#include "core/chart/chart.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static const char chart[] = "| I7 | % | % | % |\n| IV7 | % | I7 | % |\n| V7 | IV7 | I7 | V7 |\n";

static const struct {
  const char *word;
  RlDo        doing;
} doings[] = {{"bar", RL_DO_BAR},       {"text", RL_DO_TEXT},       {"stage", RL_DO_STAGE},
              {"harps", RL_DO_HARPS},   {"names", RL_DO_NAMES},     {"bar-one", RL_DO_BAR_ONE},
              {"tap", RL_DO_TAP},       {"stop", RL_DO_STOP},       {"field", RL_DO_FIELD},
              {"choose", RL_DO_CHOOSE}, {"own", RL_DO_OWN},         {"use", RL_DO_USE},
              {"keep", RL_DO_KEEP},     {"give-up", RL_DO_GIVE_UP}, {"phrases", RL_DO_PHRASES},
              {"put", RL_DO_PUT},       {"bar-by", RL_DO_PICK_BAR}, {"capture", RL_DO_CAPTURE},
              {"note", RL_DO_NOTE},     {"shift", RL_DO_SHIFT},     {"unnote", RL_DO_UNNOTE},
              {"hold", RL_DO_HOLD},     {"discard", RL_DO_DISCARD}, {"sheet", RL_DO_SHEET}};

static const char *const pages[] = {
  [RL_PAGE_PLAY] = "play",   [RL_PAGE_STAGE] = "stage",     [RL_PAGE_SETTINGS] = "settings",
  [RL_PAGE_HARPS] = "harps", [RL_PAGE_PHRASES] = "phrases", [RL_PAGE_TEXT] = "text"};

static RlPage
page_named(const char *const word)
{
  int page = 0;
  while (page < RL_PAGE_TEXT && strcmp(pages[page], word) != 0) {
    ++page;
  }
  return (RlPage)page;
}

int
main(const int argc, char **const argv)
{
  static RlForm   form;
  static RlLayout layout;
  static RlPlan   takes = {.phrase_count = 1};
  RlChartError    error;
  RlView view = {.osc_to = "", .problem = "", .focus = -1, .error_bar = -1, .follow = true};
  if (argc != 7 || !rl_chart_read(rl_slice(chart), &form, &error)) {
    return EXIT_FAILURE;
  }
  for (int i = 0; i < RL_PORTS; ++i) {
    view.port[i] = rl_ports[i].standard;
  }
  view.form     = &form;
  view.page     = page_named(strcmp(argv[3], "take") ? argv[3] : "phrases");
  view.takes    = strcmp(argv[3], "take") ? NULL : &takes; /* the first phrase is one */
  view.sheets   = true;
  view.list     = atoi(argv[4]);
  view.findings = RL_KEYS;
  rl_layout_make(&layout, &view, atoi(argv[1]), atoi(argv[2]));
  for (size_t d = 0; d < sizeof(doings) / sizeof(doings[0]); ++d) {
    for (int i = 0; !strcmp(doings[d].word, argv[5]) && i < layout.spots; ++i) {
      const RlSpot *const spot = &layout.spot[i];
      if (spot->doing.doing == doings[d].doing && spot->doing.value == atoi(argv[6])) {
        printf("%.0f %.0f\n", (spot->at.x + spot->at.w / 2) * layout.unit,
               (spot->at.y + spot->at.h / 2) * layout.unit);
        return EXIT_SUCCESS;
      }
    }
  }
  return EXIT_FAILURE;
}
