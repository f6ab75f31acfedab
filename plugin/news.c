#include "news.h"

static RlHarmony
harmony(const RlLeader *const l, const int change)
{
  return change < 0 ? (RlHarmony){0}
                    : rl_harmony_of(rl_form_chord(&l->score->form, change), l->key);
}

/* Those that sound at once are of one phrase and began together. */
static void
notes_take(RlNews *const n, const RlMidiOut *const phrases)
{
  n->notes = phrases->changes;
  for (int i = 0; i < phrases->voices && i < RL_PHRASE_TOGETHER; ++i) {
    n->note[n->sounding++] = phrases->voice[i].played;
  }
}

RlNews
rl_news_of(const RlLeader *const l, const RlMidiOut *const phrases)
{
  const RlPlace *const place = &l->now.place;
  const RlTurn *const  turn  = &l->now.turn;
  const float          beat  = rl_leader_shown_beat(l);
  RlNews               news  = {.frame           = l->clock.now,
                                .rolling         = l->now.rolling,
                                .tempo           = (float)l->now.tempo,
                                .beat            = beat,
                                .sure            = l->now.sure,
                                .beats_to_next   = (float)rl_leader_beats_to_next(l),
                                .beats_per_frame = l->now.beats_per_frame,
                                .chorus          = place->chorus,
                                .bar             = beat > 0 ? place->bar : 0,
                                .bars            = l->score->form.bars,
                                .beats           = place->beats,
                                .unit            = place->unit,
                                .sounds          = turn->now >= 0,
                                .follows         = turn->next >= 0,
                                .now             = harmony(l, turn->now),
                                .next            = harmony(l, turn->next),
                                .target          = rl_leader_target(l, turn->next),
                                .key             = l->key,
                                .hand            = l->settings.hand,
                                .position        = l->position,
                                .chart           = l->score->version[RL_CHART],
                                .plan            = l->score->version[RL_PLAN]};
  notes_take(&news, phrases);
  return news;
}

bool
rl_mailbox_put(RlMailbox *const m, const RlNews *const news)
{
  const uint32_t at   = atomic_load_explicit(&m->written, memory_order_relaxed);
  const uint32_t read = atomic_load_explicit(&m->read, memory_order_acquire);
  if (at - read >= RL_NEWS_ROOM) {
    return false;
  }
  m->news[at % RL_NEWS_ROOM] = *news;
  atomic_store_explicit(&m->written, at + 1, memory_order_release);
  return true;
}

bool
rl_mailbox_take(RlMailbox *const m, RlNews *const news)
{
  const uint32_t at      = atomic_load_explicit(&m->read, memory_order_relaxed);
  const uint32_t written = atomic_load_explicit(&m->written, memory_order_acquire);
  if (at == written) {
    return false;
  }
  *news = m->news[at % RL_NEWS_ROOM];
  atomic_store_explicit(&m->read, at + 1, memory_order_release);
  return true;
}
