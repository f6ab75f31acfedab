#include "air.h"

void
rl_air_init(RlAir *const a, const double rate, const RlMidiOut *const phrases,
            RlMailbox *const mailbox)
{
  a->wall.rate = rate;
  a->phrases   = phrases;
  a->mailbox   = mailbox;
}

static void
busy_find(RlAir *const a)
{
  a->busy = a->wanted || a->on || a->waits;
}

void
rl_air_tune(RlAir *const a, const bool wanted, const bool freewheel)
{
  a->wanted    = wanted;
  a->freewheel = freewheel;
  busy_find(a);
}

void
rl_air_refresh(RlAir *const a)
{
  a->full_due = true;
}

static void
mail(RlAir *const a)
{
  a->waits = !rl_mailbox_put(a->mailbox, &a->waiting);
  a->put   = a->put || !a->waits;
}

/* The wall-clock time of a frame. Blocks that make up for a stall may set the line back: tags stand
   still then, unless it was the system's clock that was set. */
static int64_t
tag_of(RlAir *const a, const int64_t frame)
{
  static const int64_t set_back = 1000000000; /* nanoseconds */
  const int64_t        when     = rl_wall_at(&a->wall, frame);
  a->told                       = when < a->told && a->told - when < set_back ? a->told : when;
  return a->told;
}

/* Where the mailbox has no room the newest waits, and what an older one wanted is still wanted. */
static void
post(RlAir *const a, RlNews news, const int64_t frame, const bool last)
{
  const RlNews *const older = a->waits ? &a->waiting : NULL;
  news.when                 = tag_of(a, frame);
  news.last                 = last;
  news.full                 = !last && (a->full_due || (older && (older->full || older->last)));
  news.moved                = news.moved || (older && older->moved);
  a->on                     = !last;
  a->full_due               = a->full_due && last;
  a->since                  = news.full ? 0 : a->since;
  a->waiting                = news;
  mail(a);
}

static void
post_now(RlAir *const a, const RlLeader *const l, const unsigned changes, const int64_t frame,
         const bool moved)
{
  RlNews news = rl_news_of(l, a->phrases);
  news.moved  = moved;
  a->notes    = news.notes;
  post(a, news, frame, false);
  rl_audience_told(&a->audience, l, changes, true);
}

void
rl_air_begin(RlAir *const a, const RlLeader *const l, const uint32_t frames)
{
  if (a->freewheel) {
    a->wall.known = false;
    a->full_due   = true;
    return;
  }
  a->full_due   = a->full_due || !a->on;
  a->wall.known = a->wall.known && a->on;
  rl_wall_block(&a->wall, frames, rl_wall_now());
  if (a->waits) {
    mail(a);
  }
  if (a->on && !a->wanted) {
    post(a, rl_news_of(l, a->phrases), 0, true);
  }
}

void
rl_air_tell(RlAir *const a, const RlLeader *const l, const unsigned changes, const int64_t frame)
{
  const bool moved   = rl_audience_news(&a->audience, l);
  const bool changed = changes != a->audience.changes || a->phrases->changes != a->notes;
  if (a->freewheel || !a->wanted) {
    return;
  }
  if (moved || changed) {
    post_now(a, l, changes, frame, moved);
  } else {
    rl_audience_told(&a->audience, l, changes, false);
  }
}

void
rl_air_end(RlAir *const a, const RlLeader *const l, const unsigned changes, const int64_t frame)
{
  if (!a->freewheel && a->wanted) {
    a->since += a->wall.frames;
    a->full_due = a->full_due || (double)a->since >= RL_AIR_REPEAT * a->wall.rate;
    if (a->full_due) {
      post_now(a, l, changes, frame, true);
    }
  }
  busy_find(a);
}

void
rl_air_stop(RlAir *const a, const RlLeader *const l)
{
  if (a->on && !a->freewheel) {
    a->wall.start = rl_wall_now();
    post(a, rl_news_of(l, a->phrases), 0, true);
  }
  a->wall.known = false;
}
