/* SPDX-License-Identifier: ISC */
/* The forms that plans and takes are laid along: plain; with lead-in, ending, another meter, no
   chord; with meters that change at every bar. */
#ifndef FORMS_H
#define FORMS_H

#include "core/chart/chart.h"
#include "demand.h"

enum { FORMS = 3 };

static RlForm form[FORMS];

int LLVMFuzzerInitialize(int *argc, char ***argv);

int
LLVMFuzzerInitialize(int *const argc, char ***const argv)
{
  static const char        odd[]         = "key: Cm\nmeter: 12/8\nlead-in: 2 from 1\nchoruses: 3\n"
                                           "|i7|3/4 V7b9|N.C.|\n[ending]\n|i6|ivm7|\n";
  static const char *const charts[FORMS] = {
    "key: G\n| I7 | IV7 | V7 | I7 |\n",
    odd,
    "lead-in: 3\n| F7 / / Bb7 | 5/8 C7 | 7/16 C7 | 1/1 F7 |\n",
  };
  RlChartError error;
  (void)argc;
  (void)argv;
  for (int i = 0; i < FORMS; ++i) {
    DEMAND(rl_chart_read(rl_slice(charts[i]), &form[i], &error));
  }
  return 0;
}

#endif
