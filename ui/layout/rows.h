/* SPDX-License-Identifier: ISC */
/* The chart: rows of bars. Included by ui/layout only; see rl_layout_bar() and rl_layout_row_of().
 */
#ifndef RL_UI_LAYOUT_ROWS_H
#define RL_UI_LAYOUT_ROWS_H

#include "ui/layout/layout.h"

/** Divides the form into rows of up to RL_ROW_BARS bars; a section begins a row. No form: no rows.
 */
void rl_rows_divide(RlLayout *layout, const RlForm *form);

/** Puts the rows into an area, each `least` to `most` units high, scrolled as the view says; and a
    spot on every bar in sight. */
void rl_rows_place(RlLayout *layout, const RlView *view, RlRect area, double least, double most);

#endif
