/* SPDX-License-Identifier: ISC */
#include "plugin/listen/follow.h"

#include "core/meter/meter.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* Seconds, but for the level. What no measurement has set is our own judgement. */
static const float  silence_level = 1e-4F;                /* of full scale: -80 dB */
static const double silence_ends = 8, silence_claims = 1; /* and four felt beats */
static const double waver_mass = 0.5, waver_most = 2;     /* the ear's own measure; seconds */
static const double song_slack = 0.02, lost_after = 2, late_said = 5, news_each = 0.1;
static const double reckoned_most = 18; /* seconds before the first claim */
static const double tuned_after = 8, key_patience = 2, key_enough = 0.9;
static const double cents_slack = 0.75, sure_steps = 20, steps_each = 50; /* reports a second */

/* ---- the ear ---- */

static double
felt_length(const RlForm *const form)
{
  double beats = 0;
  for (int i = 0; i < form->bars; ++i) {
    beats += rl_meter_felt(form->bar[i].beats, form->bar[i].unit);
  }
  return beats;
}

static double
in_form(const RlListenFollow *const f)
{
  return f->felt - f->length * floor(f->felt / f->length);
}

/* A new ear for this form and key; where the form is as long as before it goes on at the place. */
static void
ear_make(RlListenFollow *const f, const RlSoundHead *const head, const bool goes_on)
{
  const double length = felt_length(&f->form);
  const bool   rate   = f->rate >= RL_EAR_RATE_MIN && f->rate <= RL_EAR_RATE_MAX;
  const size_t bytes  = rate ? rl_ear_bytes(&f->form) : 0;
  free(f->memory);
  f->memory  = bytes ? malloc(bytes) : NULL;
  f->trouble = rate && !bytes ? RL_HEARING_CHART : RL_HEARING_CANNOT;
  f->found   = f->found && goes_on && length == f->length;
  f->length  = length;
  f->sound   = 0;
  if (f->memory) {
    f->ear = rl_ear_init(f->memory, &f->form, head->key, f->rate);
    if (f->found) {
      rl_ear_place(f->ear, in_form(f), f->tempo);
    }
  }
}

/* Is there an ear for what `head` asks for? */
static bool
ear_ready(RlListenFollow *const f, const RlSoundHead *const head)
{
  if (!f->has_form || f->chart != head->chart) {
    f->chart    = f->source.form(f->source.data, &f->form);
    f->has_form = f->chart == head->chart;
    rl_places_forget(&f->hearing->places);
    if (f->has_form) {
      ear_make(f, head, true);
    }
  } else if (f->begun && head->key != f->last.key) {
    ear_make(f, head, true);
  }
  return f->has_form && f->memory;
}

/* ---- elsewhere ---- */

static double
beats_in(const RlListenFollow *const f, const double frames)
{
  return frames / f->rate * f->tempo / 60;
}

static void
place_expect(RlListenFollow *const f)
{
  f->found  = true;
  f->seeks  = false;
  f->unsure = 0;
  rl_ear_place(f->ear, in_form(f), f->tempo);
}

static void
place_lose(RlListenFollow *const f)
{
  f->found      = false;
  f->seeks      = false;
  f->unsure     = 0;
  f->heard_from = RL_SONG_UNKNOWN;
  rl_ear_locate(f->ear);
}

/* A place known from before at a frame of the song is taken. */
static bool
place_recall(RlListenFollow *const f, const int64_t song)
{
  RlFeltPlace place;
  const bool  known = rl_places_find(&f->hearing->places, f->rate, song, &place);
  if (known) {
    f->felt       = place.felt;
    f->tempo      = place.tempo;
    f->heard_from = RL_SONG_UNKNOWN;
    place_expect(f);
  }
  return known;
}

/* The song goes on elsewhere, `by` frames from where it was due: at a place known from before, or
   one to be found, unless it soon comes to a known one: Home stands before the first beat. */
static void
song_move(RlListenFollow *const f, const int64_t song, const double by)
{
  if (!place_recall(f, song)) {
    f->felt = fmax(0, f->felt + beats_in(f, by));
    place_lose(f);
    f->seeks = true;
  }
}

/* Sound was left out, because the ring had no room: the song has gone on meanwhile. */
static void
gap_heed(RlListenFollow *const f, const RlSoundHead *const head, const int64_t missed)
{
  f->late_until = head->freewheel ? 0 : head->frame + (int64_t)(late_said * f->rate);
  f->felt += beats_in(f, (double)missed);
  if (f->found) {
    place_expect(f);
  }
}

static void
transport_heed(RlListenFollow *const f, const RlSoundHead *const head)
{
  const RlSoundHead *const l      = &f->last;
  const int64_t            missed = head->frame - l->frame;
  const bool               told   = head->song != RL_SONG_UNKNOWN && l->song != RL_SONG_UNKNOWN;
  const double due = told ? (double)l->song + (double)(missed > 0 && l->rolling ? missed : 0) : 0;
  const double off = told ? (double)head->song - due : 0;
  if (missed > 0) {
    gap_heed(f, head, missed);
  } else if (missed < 0) { /* activated anew: frames are counted from the beginning */
    f->news_due = f->late_until = f->candidate_since = head->frame;
    f->heard_from                                    = RL_SONG_UNKNOWN;
  }
  if (fabs(off) > song_slack * f->rate) {
    song_move(f, head->song, off);
  } else if (told && head->rolling && (!l->rolling || (f->seeks && !f->found))) {
    place_recall(f, head->song); /* if it starts: what has died away since does not count */
  } else if (missed < 0 && !told) {
    place_lose(f);
  }
  f->heard_from = told ? f->heard_from : RL_SONG_UNKNOWN;
}

/* ---- what the player says ---- */

static void
word_heed(RlListenFollow *const f, const RlSoundHead *const head)
{
  if (head->word != RL_WORD_NONE && head->word != RL_WORD_TEMPO) {
    rl_places_forget(&f->hearing->places);
  }
  f->seeks = f->seeks && head->word == RL_WORD_NONE;
  switch (head->word) {
  case RL_WORD_BAR_ONE:
    f->felt  = 0;
    f->found = true;
    rl_ear_bar_one(f->ear);
    break;
  case RL_WORD_TEMPO:
    f->found = false;
    rl_ear_tap(f->ear, (double)head->tempo);
    break;
  case RL_WORD_HALF:
    f->found = false;
    rl_ear_half_time(f->ear);
    break;
  case RL_WORD_DOUBLE:
    f->found = false;
    rl_ear_double_time(f->ear);
    break;
  case RL_WORD_FORGET:
    f->felt  = 0;
    f->found = false;
    ear_make(f, head, false);
    break;
  default:
    break;
  }
}

/* ---- news ---- */

static void
tell(RlListenFollow *const f, const RlNews *const news)
{
  f->news     = *news;
  f->news_due = news->report.frame + (int64_t)(news_each * f->rate);
  rl_news_put(f->hearing, news);
}

/* Nothing is heard: the place is known where it has stopped, or not at all. */
static void
quiet_tell(RlListenFollow *const f, const RlSoundHead *const head, const RlHearingState state)
{
  RlNews     news  = f->news;
  const bool known = state == RL_HEARING_FOUND;
  news.chart       = head->chart;
  news.state       = state;
  news.report      = (RlHeardReport){known,   false,    head->frame,
                                     f->felt, f->tempo, known ? (float)(1 / sure_steps) : 0};
  if (f->news.report.known) {
    news.report.sure = f->news.report.sure;
  }
  const bool changed = news.state != f->news.state || news.report.known != f->news.report.known ||
                       news.report.rolling != f->news.report.rolling ||
                       news.report.felt != f->news.report.felt;
  if (changed || head->frame >= f->news_due) {
    tell(f, &news);
  }
}

static bool
is_quiet(const RlListenFollow *const f)
{
  return (double)f->silent > f->rate * (silence_claims + 4 * 60 / f->tempo);
}

static RlHearingState
state_of(const RlListenFollow *const f, const bool claims, const int64_t frame)
{
  return frame < f->late_until                                     ? RL_HEARING_LATE
         : claims                                                  ? RL_HEARING_FOUND
         : is_quiet(f)                                             ? RL_HEARING_WAITS
         : f->found && f->unsure > (int64_t)(lost_after * f->rate) ? RL_HEARING_LOST
                                                                   : RL_HEARING_LISTENS;
}

/* The key is believed once it has been the likeliest by far for a while, and then kept. */
static void
key_take(RlListenFollow *const f, const RlEarReport *const r, const int64_t frame, RlNews *const n)
{
  const bool likely = r->key_sure > key_enough && f->last.key == RL_SOUND_KEY_HEARD;
  if (!likely || r->key != f->candidate) {
    f->candidate       = likely ? r->key : RL_KEY_NOT_HEARD;
    f->candidate_since = frame;
  } else if ((double)(frame - f->candidate_since) > key_patience * f->rate) {
    n->key = (int8_t)r->key;
  }
  const bool heard = f->last.key == RL_SOUND_KEY_HEARD;
  n->key           = heard ? n->key : RL_KEY_NOT_HEARD;
  n->key_sure      = heard ? (float)(floor(r->key_sure * sure_steps) / sure_steps) : 0;
}

static void
tuning_take(const RlListenFollow *const f, const RlEarReport *const r, RlNews *const n)
{
  if ((double)f->sound > tuned_after * f->rate) {
    const bool other = !n->tuned || fabs(r->cents - (double)n->cents) > cents_slack;
    n->cents         = other ? (float)round(r->cents) : n->cents;
    n->tuned         = true;
  }
}

/* ---- the sound ---- */

/* In which chorus: the one nearest to where the song should be by now. */
static void
felt_take(RlListenFollow *const f, const double at)
{
  f->felt = at + f->length * fmax(0, round((f->felt - at) / f->length));
}

/* A place that was claimed stays for a while when the ear only wavers: it shall not blink. */
static bool
claims_place(const RlListenFollow *const f, const RlEarReport *const r)
{
  const bool wavers = f->news.report.known && f->news.report.rolling && r->mass > waver_mass &&
                      (double)f->unsure < waver_most * f->rate;
  return (r->sure > 0 || wavers) && !is_quiet(f);
}

/* How sure it is said to be, never as if it knew nothing of a place that it shows. */
static float
sure_said(const RlEarReport *const r)
{
  const double sure = r->sure > 0 ? r->sure : r->likely;
  return (float)(fmax(1, floor(sure * sure_steps)) / sure_steps);
}

/* Keeps the place at a frame of the song. Where it was heard before without being known, it is
   reckoned back at the tempo found, so that the song's start is known too. */
static void
places_take(RlListenFollow *const f, const int64_t song)
{
  const int64_t most  = (int64_t)(reckoned_most * f->rate);
  const int64_t each  = (int64_t)(f->rate / RL_PLACES_EACH);
  const int64_t since = f->heard_from > 0 ? f->heard_from : 0;
  const int64_t heard = f->heard_from != RL_SONG_UNKNOWN && song > since ? song - since : 0;
  for (int64_t back = 0; back <= heard && back <= most; back += each) {
    rl_places_keep(&f->hearing->places, f->rate, song - back,
                   (RlFeltPlace){f->felt - beats_in(f, (double)back), f->tempo});
  }
  f->heard_from = song;
}

static void
report_take(RlListenFollow *const f, const RlSoundHead *const head, const uint32_t after,
            const RlEarReport *const r)
{
  const int64_t frame  = head->frame + after;
  const bool    claims = claims_place(f, r);
  RlNews        news   = f->news;
  f->tempo             = r->tempo;
  f->felt += r->tempo / 60 / steps_each;
  f->unsure = r->sure > 0 ? 0 : f->unsure + (int64_t)(f->rate / steps_each);
  f->found  = f->found || claims;
  if (claims) {
    felt_take(f, r->at);
    if (head->song != RL_SONG_UNKNOWN && head->rolling && r->sure > 0) {
      places_take(f, head->song + after);
    }
  }
  key_take(f, r, frame, &news);
  tuning_take(f, r, &news);
  news.chart  = head->chart;
  news.state  = state_of(f, claims, frame);
  news.report = (RlHeardReport){claims, true, frame, f->felt, f->tempo, sure_said(r)};
  if (frame >= f->news_due || news.state != f->news.state || news.key != f->news.key ||
      claims != f->news.report.known) {
    tell(f, &news);
  }
}

static void
hear(RlListenFollow *const f, const RlSoundChunk *const c)
{
  RlEarReport report;
  const bool  on_song = c->head.rolling && c->head.song != RL_SONG_UNKNOWN;
  f->heard_from       = !on_song                           ? RL_SONG_UNKNOWN
                        : f->heard_from == RL_SONG_UNKNOWN ? c->head.song
                                                           : f->heard_from;
  f->sound += c->frames;
  for (uint32_t at = 0; at < c->frames;) {
    at += rl_ear_hear(f->ear, c->sound + at, c->frames - at, &report);
    if (report.fresh) {
      report_take(f, &c->head, at, &report);
    }
  }
}

static bool
is_silent(const RlSoundChunk *const c)
{
  float most = 0;
  for (uint32_t i = 0; i < c->frames; ++i) {
    most = fmaxf(most, fabsf(c->sound[i]));
  }
  return most < silence_level;
}

/* Silence before the song, behind it and while the host stands is not listened to. A song that
   comes after a long one is another one. */
static void
sound_take(RlListenFollow *const f, const RlSoundChunk *const c)
{
  const bool silent   = is_silent(c);
  const bool stands   = silent && !c->head.rolling;
  const bool long_one = (double)f->silent > silence_ends * f->rate;
  if (!silent && long_one) {
    f->felt = 0;
    place_lose(f);
  }
  f->silent = silent ? f->silent + (stands ? 0 : c->frames) : 0;
  if (stands && f->found && f->unsure == 0) {
    quiet_tell(f, &c->head, RL_HEARING_FOUND);
  } else if (stands || (silent && (!f->sound || long_one))) {
    quiet_tell(f, &c->head, RL_HEARING_WAITS);
  } else {
    hear(f, c);
  }
}

void
rl_listen_follow(RlListenFollow *const f, const RlSoundChunk *const c)
{
  f->tempo      = f->tempo > 0 ? f->tempo : 100;
  f->heard_from = f->begun ? f->heard_from : RL_SONG_UNKNOWN;
  if (!ear_ready(f, &c->head)) {
    quiet_tell(f, &c->head, f->has_form ? f->trouble : RL_HEARING_LISTENS);
  } else {
    if (f->begun) {
      transport_heed(f, &c->head);
    }
    word_heed(f, &c->head);
  }
  f->last = c->head;
  if (f->has_form && f->memory) {
    sound_take(f, c);
  }
  f->last.frame += c->frames;
  f->last.song += f->last.song != RL_SONG_UNKNOWN && f->last.rolling ? (int64_t)c->frames : 0;
  f->begun = true;
}

void
rl_listen_follow_end(RlListenFollow *const f)
{
  free(f->memory);
  f->memory = NULL;
}
