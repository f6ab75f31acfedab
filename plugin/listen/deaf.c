/* SPDX-License-Identifier: ISC */
/* In place of follow.c where the build has no ear (kissfft): says that it cannot listen. */
#include "plugin/listen/follow.h"

void
rl_listen_follow(RlListenFollow *const f, const RlSoundChunk *const c)
{
  const RlNews news = {.report = {.frame = c->head.frame},
                       .chart  = c->head.chart,
                       .state  = RL_HEARING_CANNOT,
                       .key    = RL_KEY_NOT_HEARD};
  if (c->head.frame >= f->news_due || c->head.frame < f->last.frame) {
    f->news_due = c->head.frame + (int64_t)(f->rate / 10);
    rl_news_put(f->hearing, &news);
  }
  f->last = c->head;
}

void
rl_listen_follow_end(RlListenFollow *const f)
{
  f->memory = NULL;
}
