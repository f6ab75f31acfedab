/* SPDX-License-Identifier: ISC */
/* In the place of lifting where the build has no kissfft: says so. */
#include "plugin/lift/lifting.h"

bool
rl_lifting_run(RlLifting *const lifting, const atomic_bool *const quit, const char **const why)
{
  (void)lifting;
  (void)quit;
  *why = "this build cannot hear it; build Reedlamp with kissfft";
  return false;
}
