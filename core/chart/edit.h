/* SPDX-License-Identifier: ISC */
/* Editing a chart one bar on paper at a time. Only the bar's own words change; every other byte
   stays: comments, headers, repeats, spacing, line ends. The caller reads the new text with
   rl_chart_read() and keeps the old chart if that fails. A bar that is `%` follows whatever bar now
   stands before it. Not for the audio thread (it copies the text); no heap, no state. */
#ifndef RL_CORE_CHART_EDIT_H
#define RL_CORE_CHART_EDIT_H

#include "core/chart/form.h"

enum {
  RL_CHART_SIZE = RL_CHART_MAX + 1 /**< bytes for a whole chart, the NUL included */
};

/** Appends the words of bar `written` (0..paper_bars - 1): `I7 / / V7`, `%`, `3/4 I7`, without
   bar lines, signs and section. Of a bar that runs over several lines: its parts with a space
   between. At most as long as its RlForm.paper. */
void rl_chart_edit_text(const RlForm *form, int written, RlText *text);

/** Writes the whole chart with `words` in place of those of bar `written` (0..paper_bars - 1) into
    `chart`, which is emptied first; RL_CHART_SIZE bytes hold any chart. The same words as
    rl_chart_edit_text()'s give the same chart. A meter at the bar's head is one of its words.
    Returns NULL, or why it cannot be done, for a person to read; then `chart` is empty. */
const char *rl_chart_edit_bar(const RlForm *form, int written, RlSlice words, RlText *chart);

/** The same with a new bar after bar `written`, inside the same repeat and ending. */
const char *rl_chart_edit_insert(const RlForm *form, int written, RlSlice words, RlText *chart);

/** The same without bar `written`; its meter stays if the bars after it need it. */
const char *rl_chart_edit_delete(const RlForm *form, int written, RlText *chart);

#endif
