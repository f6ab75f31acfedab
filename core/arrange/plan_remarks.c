/* SPDX-License-Identifier: ISC */
/* What a reader of a plan should know of its phrases, in words. */
#include "core/arrange/plan.h"

/* Of two phrases of one title one is never played. */
static void
twice_write(const RlPlan *const plan, RlText *const text)
{
  const int at = rl_plan_twice(plan);
  if (at >= 0) {
    rl_text_add(text, "two phrases have the title \"");
    rl_text_add(text, plan->phrase[at].title);
    rl_text_add(text, "\"; the first is played; give the other a different title");
  }
}

static void
left_write(const RlPlan *const plan, RlText *const text)
{
  enum { WORDS_SIZE = 1024 };
  int more = -1;
  for (int i = 0; i < plan->phrase_count; ++i) {
    char   said[WORDS_SIZE];
    RlText words = rl_text_in(said, sizeof(said));
    rl_abc_left_write(&plan->phrase[i].left, &words);
    if (words.used && !++more) {
      rl_text_add(text, text->used ? "; " : "");
      rl_text_add(text, plan->phrase[i].title);
      rl_text_add(text, ": ");
      rl_text_add(text, said);
    }
  }
  if (more > 0) {
    rl_text_add(text, "; ");
    rl_text_add_int(text, more);
    rl_text_add(text, more > 1 ? " more phrases have something left out"
                               : " more phrase has something left out");
  }
}

void
rl_plan_remarks_write(const RlPlan *const plan, RlText *const text)
{
  twice_write(plan, text);
  left_write(plan, text);
}
