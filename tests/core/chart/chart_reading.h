/* SPDX-License-Identifier: ISC */
/* Reads a chart of a test, and shows what was read as a line. */
#ifndef CHART_READING_H
#define CHART_READING_H

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "core/chart/chart.h"

/** What the last reading left. */
extern RlForm       the_form;
extern RlChartError the_error;

/** A chart with everything in it that a form keeps. */
#define TWO_STRAINS                                                                                \
  "# A remark.\ntitle: Two strains\nkey: Bb\ntempo: 88\nlead-in: 1 from 2\n"                       \
  "choruses: 2\n[A]\n|: I7 | IV7 V7\n|1 2/4 % :|2 4/4 ii7 ||\n"                                    \
  "[ending]\n| N.C. | F7 |\n"

typedef void NameWriter(const RlHarmony *, RlText *);

const RlForm *form_of_slice(RlSlice text);

const RlForm *form_of(const char *text);

/** The full message of a chart that cannot be read. */
const char *error_of_slice(RlSlice text);

const char *error_of(const char *text);

/** `I7 | IV7 V7@2 | 3/4 I7 || V7`: the bars as they sound, a meter where it differs from the bar
   before (the first from 4/4), `@` the beat from 0 where it is not 0, the ending behind `||`. */
const char *shown_in(const RlForm *form, RlKey key, NameWriter *write);

const char *played(const char *text);

const char *by_letter(const char *text, int tonic, bool minor);

void slice_is(RlSlice slice, const char *expected);

/** The section's name of a bar, "" where the bar stands in none. */
RlSlice section_of(const RlForm *form, int index);

/** The same music; texts and spans may differ. */
void forms_equal(const RlForm *a, const RlForm *b);

#endif
