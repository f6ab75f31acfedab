/* SPDX-License-Identifier: ISC */
#include "timeline.h"

#include <assert.h>
#include <math.h>
#include <stddef.h>
#include <string.h>

/* ---- dice ---- */

int64_t
tl_throw(TlDice *const dice, const int64_t sides)
{
  uint64_t z = dice->state += 0x9E3779B97F4A7C15U;
  z          = (z ^ (z >> 30U)) * 0xBF58476D1CE4E5B9U;
  z          = (z ^ (z >> 27U)) * 0x94D049BB133111EBU;
  return (int64_t)((z ^ (z >> 31U)) % (uint64_t)sides);
}

static bool
one_in(TlDice *const dice, const int64_t sides)
{
  return tl_throw(dice, sides) == 0;
}

static int64_t
between(TlDice *const dice, const int64_t low, const int64_t high)
{
  return low + tl_throw(dice, high - low + 1);
}

/* ---- grains ---- */

/* Grains in a quarter are SIXTEENS * SPARE * 60 * TL_PARTS * rate. Then a tempo of n / SIXTEENS
   quarters a minute moves n * SPARE of them in a part of a frame, and one of m microseconds a
   quarter moves SMF / m, whole for every m made of these primes and no more of them. */
enum { SIXTEENS = 65536, SPARE = 3 * 3 * 3 * 7 };
static const int64_t smf = (int64_t)SIXTEENS * SPARE * 60 * 1000000; /* 2^24 3^4 5^7 7 */

int64_t
tl_quarter(const TlSong *const song)
{
  return (int64_t)SIXTEENS * SPARE * 60 * TL_PARTS * song->rate;
}

static double
ratio(const TlGrains over, const TlGrains under)
{
  return (double)((long double)over / (long double)under);
}

/* `under` > 0. Most need no more than 64 bits, and those divide faster. */
static TlGrains
floor_div(const TlGrains over, const TlGrains under)
{
  const int64_t o = (int64_t)over;
  const int64_t u = (int64_t)under;
  return o == over && u == under ? o / u - (o % u < 0) : over / under - (over % under < 0);
}

static double
tempo_shown(const int64_t pace, const int note)
{
  return (double)pace / ((double)SIXTEENS * SPARE) * note / 4;
}

/* ---- the song ---- */

static TlGrains
bar_length(const TlSong *const song, const TlMeter *const meter)
{
  return (TlGrains)(tl_quarter(song) / meter->unit * 4) * meter->beats;
}

void
tl_song_init(TlSong *const song, const int rate)
{
  song->rate     = rate;
  song->tempi    = 1;
  song->meters   = 1;
  song->ramps    = 0;
  song->tempo[0] = (TlTempo){
    .pace = (int64_t)120 * SIXTEENS * SPARE, .first = (int64_t)120 * SIXTEENS * SPARE, .note = 4};
  song->meter[0] = (TlMeter){.beats = 4, .unit = 4};
}

static TlGrains
reached(const TlTempo *const tempo, const int64_t parts)
{
  return tempo->at + (TlGrains)(parts - tempo->from * TL_PARTS) * tempo->pace;
}

/* What changes at the same frame replaces what was to begin there. */
static TlTempo *
tempo_add(TlSong *const song, const int64_t frame, const int64_t pace)
{
  const TlTempo *const last = &song->tempo[song->tempi - 1];
  const TlTempo        next = {.from  = frame,
                               .at    = reached(last, frame * TL_PARTS),
                               .pace  = pace,
                               .first = pace,
                               .note  = last->note};
  assert(frame >= last->from && song->tempi < TL_TEMPI);
  song->tempi += frame > last->from;
  song->tempo[song->tempi - 1] = next;
  return &song->tempo[song->tempi - 1];
}

void
tl_song_tempo(TlSong *const song, const int64_t frame, const int64_t sixteens)
{
  tempo_add(song, frame, sixteens * SPARE);
}

void
tl_song_micros(TlSong *const song, const int64_t frame, const int64_t micros)
{
  assert(smf % micros == 0);
  tempo_add(song, frame, smf / micros);
}

void
tl_song_ramp(TlSong *const song, const int64_t from, const int64_t to, const int64_t sixteens)
{
  const int64_t first = song->tempo[song->tempi - 1].pace;
  const int64_t last  = sixteens * SPARE;
  const int64_t step  = song->rate / 400;
  const int64_t steps = (to - from) / step;
  ++song->ramps;
  for (int64_t i = 0; i < steps; ++i) {
    const int64_t  pace  = first + (last - first) / steps * i;
    TlTempo *const tempo = tempo_add(song, from + i * step, pace);
    tempo->first         = first;
    tempo->ramp          = song->ramps;
  }
  tempo_add(song, to, last);
}

void
tl_song_meter(TlSong *const song, const int64_t bar, const int beats, const int unit)
{
  const TlMeter *const last = &song->meter[song->meters - 1];
  const TlMeter next = {bar, last->at + (bar - last->bar) * bar_length(song, last), beats, unit};
  assert(bar >= last->bar && song->meters < TL_METERS);
  song->meters += bar > last->bar;
  song->meter[song->meters - 1] = next;
}

int64_t
tl_micros(TlDice *const dice)
{
  static const struct {
    int prime, most;
  } factors[] = {{3, 4}, {5, 7}, {7, 1}, {2, 20}};
  for (;;) {
    int64_t micros = 1;
    for (size_t i = 0; i < sizeof(factors) / sizeof(factors[0]); ++i) {
      for (int64_t k = between(dice, 0, factors[i].most); k > 0 && micros <= 2000000; --k) {
        micros *= factors[i].prime;
      }
    }
    if (micros >= 200000 && micros <= 2000000) { /* 300 to 30 quarters a minute */
      return micros;
    }
  }
}

TlPlace
tl_song_at(const TlSong *const song, const int64_t parts, const TlPlace *const near)
{
  int t = near ? near->tempo : 0;
  int m = near ? near->meter : 0;
  while (t + 1 < song->tempi && song->tempo[t + 1].from * TL_PARTS <= parts) {
    ++t;
  }
  while (t > 0 && song->tempo[t].from * TL_PARTS > parts) {
    --t;
  }
  const TlGrains at = reached(&song->tempo[t], parts);
  while (m + 1 < song->meters && song->meter[m + 1].at <= at) {
    ++m;
  }
  while (m > 0 && song->meter[m].at > at) {
    --m;
  }
  const TlMeter *const meter  = &song->meter[m];
  const TlGrains       length = bar_length(song, meter);
  const TlGrains       bars   = floor_div(at - meter->at, length);
  return (TlPlace){.bar    = meter->bar + (int64_t)bars,
                   .beats  = meter->beats,
                   .unit   = meter->unit,
                   .at     = at,
                   .in_bar = at - meter->at - bars * length,
                   .length = length,
                   .pace   = song->tempo[t].pace,
                   .tempo  = t,
                   .meter  = m};
}

TlGrains
tl_bar_line(const TlSong *const song, const int64_t bar)
{
  int m = song->meters - 1;
  while (m > 0 && song->meter[m].bar > bar) {
    --m;
  }
  return song->meter[m].at + (bar - song->meter[m].bar) * bar_length(song, &song->meter[m]);
}

double
tl_quarters_since(const TlSong *const song, const int64_t bar, const TlGrains at)
{
  return ratio(at - tl_bar_line(song, bar), tl_quarter(song));
}

int64_t
tl_frame_of(const TlSong *const song, const TlGrains at)
{
  int t = song->tempi - 1;
  while (t > 0 && song->tempo[t].at > at) {
    --t;
  }
  const TlTempo *const tempo = &song->tempo[t];
  return tempo->from - (int64_t)floor_div(tempo->at - at, (TlGrains)tempo->pace * TL_PARTS);
}

/* ---- a song by chance ---- */

static void
meters_wander(TlSong *const song, TlDice *const dice, const TlGrains end)
{
  static const struct {
    int beats, unit;
  } meters[] = {{4, 4}, {12, 8}, {6, 8}, {3, 4}, {7, 8}, {3, 2},  {2, 4},   {9, 8},
                {5, 4}, {2, 2},  {5, 8}, {7, 4}, {4, 2}, {7, 16}, {12, 16}, {15, 16}};
  enum { COUNT = sizeof(meters) / sizeof(meters[0]) };
  int64_t bar = 0;
  do {
    const int64_t i = tl_throw(dice, one_in(dice, 3) ? COUNT : 6); /* the common ones oftener */
    tl_song_meter(song, bar, meters[i].beats, meters[i].unit);
    bar += one_in(dice, 4) ? between(dice, 1, 3) : between(dice, 4, 40);
  } while (tl_bar_line(song, bar) < end);
}

/* What a tempo's beat is: the meter's unit as often as not. */
static int
note_wander(const TlSong *const song, TlDice *const dice, const int64_t frame)
{
  static const int notes[] = {4, 4, 8, 2};
  return one_in(dice, 2) ? tl_song_at(song, frame * TL_PARTS, NULL).unit : notes[tl_throw(dice, 4)];
}

/* To between half and double the tempo, in 4 to 12 seconds. */
static void
ramp_wander(TlSong *const song, TlDice *const dice, const int64_t frame)
{
  const int64_t first = song->tempo[song->tempi - 1].pace / SPARE / SIXTEENS;
  const int64_t low   = first / 2 < 30 ? 30 : first / 2 + 1;
  const int64_t high  = first * 2 > 240 ? 240 : first * 2;
  tl_song_ramp(song, frame, frame + between(dice, 4, 12) * song->rate,
               between(dice, low, high) * SIXTEENS);
}

static bool
shown_alike(const TlTempo *const a, const TlTempo *const b)
{
  return a->first * a->note == b->first * b->note;
}

static void
tempo_wander(TlSong *const song, TlDice *const dice, const int64_t frame, const bool dyadic)
{
  const int note = note_wander(song, dice, frame);
  if (frame > 0 && one_in(dice, 5)) { /* it keeps the note it began with */
    ramp_wander(song, dice, frame);
    return;
  }
  if (!dyadic) {
    tl_song_micros(song, frame, tl_micros(dice));
  } else if (one_in(dice, 2)) {
    tl_song_tempo(song, frame, between(dice, 30, 255) * SIXTEENS);
  } else {
    tl_song_tempo(song, frame, between(dice, 30 * SIXTEENS, 255 * SIXTEENS));
  }
  TlTempo *const last = &song->tempo[song->tempi - 1];
  last->note          = note;
  if (frame > 0 && shown_alike(last, last - 1)) { /* else nobody could tell the two apart */
    last->note = note == 4 ? 8 : 4;
  }
}

/* The whole frame at or behind the bar line that comes after `frame`. */
static int64_t
next_bar_line(const TlSong *const song, const int64_t frame)
{
  const TlPlace place = tl_song_at(song, frame * TL_PARTS, NULL);
  return tl_frame_of(song, place.at - place.in_bar + place.length);
}

void
tl_song_wander(TlSong *const song, TlDice *const dice, const int rate, const int seconds,
               const TlManner *const manner)
{
  const int64_t end = (int64_t)seconds * rate;
  tl_song_init(song, rate);
  if (manner->one_meter) {
    tl_song_meter(song, 0, (int)between(dice, 2, 12), 4 << tl_throw(dice, 2));
  } else {
    meters_wander(song, dice, (TlGrains)(5 * seconds) * tl_quarter(song));
  }
  for (int64_t frame = 0; frame < end;) {
    tempo_wander(song, dice, frame, manner->dyadic || one_in(dice, 3));
    frame = song->tempo[song->tempi - 1].from + between(dice, 1, 60) * rate + tl_throw(dice, rate);
    frame = one_in(dice, 2) ? next_bar_line(song, frame) : frame;
  }
}

/* ---- the manners ---- */

enum {
  TL_PLACE = RL_SAID_BAR | RL_SAID_BAR_BEAT,
  TL_METER = RL_SAID_BEAT_UNIT | RL_SAID_BEATS_PER_BAR,
  TL_USUAL = RL_SAID_FRAME | RL_SAID_SPEED | TL_PLACE | TL_METER | RL_SAID_TEMPO
};

const TlManner tl_manners[] = {
  {.name         = "exact, every block",
   .every_block  = true,
   .at_its_frame = true,
   .has_speed    = true,
   .has_before   = true,
   .fields       = TL_USUAL},
  {.name         = "exact, on change only",
   .at_its_frame = true,
   .dyadic       = true,
   .has_speed    = true,
   .has_before   = true,
   .fields       = TL_USUAL},
  {.name         = "exact, every block, stopped too, no frames",
   .every_block  = true,
   .at_its_frame = true,
   .even_stopped = true,
   .has_speed    = true,
   .has_before   = true,
   .fields       = TL_USUAL & ~(unsigned)RL_SAID_FRAME},
  {.name         = "changed fields, every block",
   .every_block  = true,
   .at_its_frame = true,
   .only_changed = true,
   .has_speed    = true,
   .has_before   = true,
   .fields       = TL_USUAL},
  {.name         = "changed fields, on change only",
   .at_its_frame = true,
   .only_changed = true,
   .every_step   = true,
   .dyadic       = true,
   .has_speed    = true,
   .has_before   = true,
   .fields       = TL_USUAL},
  {.name         = "quarters a minute in every meter, every block",
   .note         = TL_OF_QUARTER,
   .every_block  = true,
   .at_its_frame = true,
   .has_speed    = true,
   .has_before   = true,
   .fields       = TL_USUAL},
  {.name         = "ticks, every block",
   .form         = TL_JACK,
   .every_block  = true,
   .even_stopped = true,
   .whole_blocks = true,
   .fields       = TL_USUAL},
  {.name         = "ticks, on change only",
   .form         = TL_JACK,
   .whole_blocks = true,
   .dyadic       = true,
   .one_meter    = true,
   .fields       = TL_USUAL},
  {.name         = "Ardour 7.3",
   .form         = TL_ARDOUR,
   .note         = TL_OF_ITS_OWN,
   .every_block  = true,
   .whole_blocks = true,
   .splits       = true,
   .shrinks      = true,
   .has_speed    = true,
   .fields       = TL_USUAL | RL_SAID_SCALE},
};
const int tl_manner_count = sizeof(tl_manners) / sizeof(tl_manners[0]);

/* ---- the transport ---- */

void
tl_host_init(TlHost *const host, const TlManner *const manner, const TlSong *const song,
             const int block, const uint64_t seed)
{
  *host           = (TlHost){.manner = manner, .song = song, .block = block, .dice = {seed}};
  host->stretches = 1;
  host->end       = INT64_MAX;
}

static void
stretch_add(TlHost *const host, const TlStretch stretch)
{
  assert(host->stretches < TL_STRETCHES);
  host->stretches += stretch.from > host->stretch[host->stretches - 1].from;
  host->stretch[host->stretches - 1] = stretch;
}

void
tl_host_stretch(TlHost *const host, const int64_t from, const int64_t song_frame, const int speed)
{
  stretch_add(host, (TlStretch){.from = from, .song = song_frame * TL_PARTS, .speed = speed});
}

static int64_t
song_at(const TlStretch *const stretch, const int64_t frame)
{
  return stretch->song + (frame - stretch->from) * stretch->speed;
}

void
tl_host_go(TlHost *const host, const int64_t from, const int speed)
{
  const TlStretch *const last = &host->stretch[host->stretches - 1];
  stretch_add(host, (TlStretch){.from = from, .song = song_at(last, from), .speed = speed});
}

TlTruth
tl_host_truth(const TlHost *const host, const int64_t frame, const TlTruth *const near)
{
  int s = near ? near->stretch : 0;
  while (s + 1 < host->stretches && host->stretch[s + 1].from <= frame) {
    ++s;
  }
  while (s > 0 && host->stretch[s].from > frame) {
    --s;
  }
  const TlStretch *const stretch = &host->stretch[s];
  return (TlTruth){.rolling = stretch->speed != 0,
                   .stretch = s,
                   .speed   = stretch->speed,
                   .place =
                     tl_song_at(host->song, song_at(stretch, frame), near ? &near->place : NULL)};
}

/* ---- a transport by chance ---- */

static int64_t
block_up(const TlHost *const host, const int64_t frame)
{
  return host->manner->whole_blocks && host->block > 0
           ? (frame + host->block - 1) / host->block * host->block
           : frame;
}

static int64_t
somewhere(TlHost *const host)
{
  const int64_t rate = host->song->rate;
  return host->manner->has_before && one_in(&host->dice, 6) ? -between(&host->dice, 0, 5 * rate)
                                                            : between(&host->dice, 0, 500 * rate);
}

/* No hop of less than a quarter of a second: with no frame to tell, that may be a change of tempo.
 */
static int64_t
elsewhere(TlHost *const host, const int64_t at)
{
  const int64_t here  = song_at(&host->stretch[host->stretches - 1], at) / TL_PARTS;
  int64_t       there = somewhere(host);
  while (there > here - host->song->rate / 4 && there < here + host->song->rate / 4) {
    there = somewhere(host);
  }
  return there;
}

/* Stands still, then goes on in the same place or, having been moved meanwhile, elsewhere. */
static int64_t
wander_stop(TlHost *const host, int64_t at)
{
  const int64_t rate = host->song->rate;
  tl_host_go(host, at, 0);
  at = block_up(host, at + 1 + tl_throw(&host->dice, 2 * rate));
  if (one_in(&host->dice, 2)) {
    const int64_t there = somewhere(host);
    tl_host_stretch(host, at, there, 0);
    at = block_up(host, at + 1 + tl_throw(&host->dice, rate));
  }
  tl_host_go(host, at, TL_PARTS);
  return at;
}

/* While rolling. A host in whole blocks (Ardour; measured) stands still for eleven of them. */
static int64_t
wander_jump(TlHost *const host, int64_t at)
{
  if (host->manner->splits) {
    tl_host_go(host, at, 0);
    at += (int64_t)11 * host->block;
  }
  tl_host_stretch(host, at, elsewhere(host, at), TL_PARTS);
  return at;
}

static int64_t
wander_loop(TlHost *const host, int64_t at)
{
  const int64_t rate   = host->song->rate;
  const int64_t length = rate / 4 + tl_throw(&host->dice, 6 * rate);
  const int64_t start  = host->stretch[host->stretches - 1].song / TL_PARTS;
  for (int64_t turns = between(&host->dice, 2, 5); turns > 0; --turns) {
    at += length;
    at = host->manner->splits ? at : block_up(host, at);
    stretch_add(host,
                (TlStretch){.from = at, .song = start * TL_PARTS, .speed = TL_PARTS, .loop = true});
  }
  return at;
}

static int64_t
wander_speed(TlHost *const host, int64_t at)
{
  static const int speeds[] = {TL_PARTS / 2, TL_PARTS / 2, TL_PARTS * 2, -TL_PARTS,
                               TL_PARTS * 3 / 2};
  const int        speed    = speeds[tl_throw(&host->dice, 5)];
  if (host->manner->has_speed) {
    if (host->manner->shrinks && speed > 0) { /* steps and reports stay as they are */
      tl_host_go(host, at, TL_PARTS);
      host->stretch[host->stretches - 1].shrunk = true;
    } else {
      if (host->manner->shrinks) { /* Ardour stands still before it turns round */
        tl_host_go(host, at, 0);
        at += (int64_t)10 * host->block;
      }
      tl_host_go(host, at, speed);
    }
    at = block_up(host, at + host->song->rate / 2 + tl_throw(&host->dice, 6 * host->song->rate));
    if (host->manner->shrinks && speed < 0) {
      tl_host_go(host, at, 0);
      at += (int64_t)10 * host->block;
    }
    tl_host_go(host, at, TL_PARTS);
  }
  return at;
}

void
tl_host_wander(TlHost *const host, const int64_t frames)
{
  static int64_t (*const acts[])(TlHost *, int64_t) = {wander_stop, wander_jump, wander_loop,
                                                       wander_speed};
  const int64_t rate                                = host->song->rate;
  int64_t       at = block_up(host, 1 + tl_throw(&host->dice, rate));
  tl_host_go(host, at, TL_PARTS);
  while (at < frames) {
    at = block_up(host,
                  at + rate / 2 + tl_throw(&host->dice, (one_in(&host->dice, 3) ? 90 : 15) * rate));
    at = acts[tl_throw(&host->dice, 4)](host, at);
  }
  host->end = frames;
}

/* ---- what the host says ---- */

static RlBarBeat
said_exactly(const TlSong *const song, const TlPlace *const place)
{
  return (RlBarBeat){place->bar, ratio(place->in_bar, tl_quarter(song) / place->unit * 4)};
}

/* jalv: beat and tick of jack_position_t, both whole numbers. */
static RlBarBeat
said_in_ticks(const TlSong *const song, const TlPlace *const place)
{
  enum { TICKS_PER_BEAT = 1920 };
  const TlGrains beat  = tl_quarter(song) / place->unit * 4;
  const int64_t  ticks = (int64_t)floor_div(place->in_bar * TICKS_PER_BEAT, beat);
  const int64_t  whole = ticks / TICKS_PER_BEAT;
  return (RlBarBeat){place->bar, (double)whole + (double)(ticks % TICKS_PER_BEAT) / TICKS_PER_BEAT};
}

/* Ardour 7.3, as measured: ticks of a quarter in every meter; in a meter of halves the beat is
   rounded from the quarter, and bar with it. */
static RlBarBeat
said_as_ardour(const TlSong *const song, const TlPlace *const place)
{
  enum { TICKS = 1920 };
  const TlMeter *const meter = &song->meter[place->meter];
  const int64_t ticks  = (int64_t)floor_div((place->at - meter->at) * TICKS, tl_quarter(song));
  const int64_t in_bar = (int64_t)TICKS * 4 * place->beats / place->unit;
  const int64_t bar    = meter->bar + (int64_t)floor_div(ticks, in_bar);
  const int64_t rest   = ticks - (int64_t)floor_div(ticks, in_bar) * in_bar;
  if (place->unit >= 4) {
    const int64_t length = (int64_t)TICKS * 4 / place->unit;
    const int64_t whole  = rest / length;
    return (RlBarBeat){bar, (double)whole + (double)(rest % length) / TICKS};
  }
  const int64_t beat = (rest / TICKS + 1) / 2;
  const bool    over = beat == place->beats;
  return (RlBarBeat){bar + over, (double)(over ? 0 : beat) + (double)(rest % TICKS) / TICKS};
}

static double
tempo_of(const TlHost *const host, const TlTruth *const truth)
{
  const TlTempo *const tempo   = &host->song->tempo[truth->place.tempo];
  const int            notes[] = {
               [TL_OF_METER] = truth->place.unit, [TL_OF_QUARTER] = 4, [TL_OF_ITS_OWN] = tempo->note};
  return tempo_shown(host->manner->form == TL_ARDOUR ? tempo->first : tempo->pace,
                     notes[host->manner->note]);
}

static RlReport
report_of(const TlHost *const host, const TlTruth *const truth, const int64_t frame)
{
  static RlBarBeat (*const forms[])(const TlSong *, const TlPlace *) = {
    [TL_EXACT] = said_exactly, [TL_JACK] = said_in_ticks, [TL_ARDOUR] = said_as_ardour};
  const TlPlace *const place = &truth->place;
  const RlBarBeat      said  = forms[host->manner->form](host->song, place);
  return (RlReport){
    .said          = host->manner->fields,
    .frame         = (int64_t)floor_div(song_at(&host->stretch[truth->stretch], frame), TL_PARTS),
    .bar           = said.bar,
    .speed         = (double)truth->speed / TL_PARTS,
    .bar_beat      = (double)(float)said.beat,
    .beat          = (double)(float)ratio(place->at, tl_quarter(host->song) / place->unit * 4),
    .beat_unit     = place->unit,
    .beats_per_bar = place->beats,
    .tempo         = (double)(float)tempo_of(host, truth)};
}

bool
tl_host_jumped(const TlHost *const host, const TlTruth *const from, const TlTruth *const to)
{
  bool any = false;
  for (int s = from->stretch + 1; s <= to->stretch; ++s) {
    any = any || host->stretch[s].song != song_at(&host->stretch[s - 1], host->stretch[s].from);
  }
  return any;
}

/* One that speaks on change only tells the place when it was moved, and then all of it. */
static unsigned
changed_fields(const TlHost *const host, const RlReport *const r, const TlTruth *const truth)
{
  const RlReport *const s     = &host->said;
  const bool            every = host->manner->every_block;
  const bool            moved = !every && tl_host_jumped(host, &host->last, truth);
  return (moved || (every && r->frame != s->frame) ? RL_SAID_FRAME : 0U) |
         (moved || (every && r->bar != s->bar) ? RL_SAID_BAR : 0U) |
         (moved || (every && r->bar_beat != s->bar_beat) ? RL_SAID_BAR_BEAT : 0U) |
         (r->speed != s->speed ? RL_SAID_SPEED : 0U) |
         (r->beat_unit != s->beat_unit ? RL_SAID_BEAT_UNIT : 0U) |
         (r->beats_per_bar != s->beats_per_bar ? RL_SAID_BEATS_PER_BAR : 0U) |
         (r->tempo != s->tempo ? RL_SAID_TEMPO : 0U);
}

static void
speak(TlHost *const host, TlCall *const call, const int at, const TlTruth *const truth)
{
  RlReport report = report_of(host, truth, host->now + at);
  if (host->manner->only_changed && host->told) {
    report.said &= changed_fields(host, &report, truth);
  }
  host->said = report;
  host->last = *truth;
  host->told = true;
  if (report.said) {
    assert(call->reports < TL_REPORTS);
    call->report[call->reports].at     = at;
    call->report[call->reports].report = report;
    ++call->reports;
  }
}

/* Is it the same music, going on? Steps of one ramp are, to most. */
static bool
same_run(const TlHost *const host, const TlTruth *const a, const TlTruth *const b)
{
  const TlTempo *const tempo = host->song->tempo;
  const int            ramp  = host->manner->every_step ? 0 : tempo[a->place.tempo].ramp;
  return a->stretch == b->stretch && a->place.meter == b->place.meter &&
         (a->place.tempo == b->place.tempo || (ramp && ramp == tempo[b->place.tempo].ramp));
}

static bool
has_something_to_say(const TlHost *const host, const TlTruth *const truth)
{
  const TlManner *const m = host->manner;
  return !host->told || (m->every_block && (truth->rolling || m->even_stopped)) ||
         host->last.stretch != truth->stretch || host->last.place.meter != truth->place.meter ||
         tempo_of(host, &host->last) != tempo_of(host, truth);
}

/* The first frame of the call behind `at` where the music is not just going on. */
static int
next_change(const TlHost *const host, const int at, const TlTruth *const truth, const int frames)
{
  int low = at, high = frames;
  while (high - low > 1) {
    const int     middle = low + (high - low) / 2;
    const TlTruth there  = tl_host_truth(host, host->now + middle, truth);
    *(same_run(host, truth, &there) ? &low : &high) = middle;
  }
  return high;
}

static int
call_length(TlHost *const host, const TlTruth *const truth)
{
  const int shrink = host->stretch[truth->stretch].shrunk ? 2 : 1;
  if (host->grid_left <= 0) {
    host->grid_left = host->block > 0 ? host->block / shrink
                                      : 1 + (int)tl_throw(&host->dice, -(int64_t)host->block);
  }
  int64_t frames = host->grid_left;
  if (host->manner->splits && truth->stretch + 1 < host->stretches) {
    const int64_t left = host->stretch[truth->stretch + 1].from - host->now;
    frames             = left < frames ? left : frames;
  }
  frames = host->end - host->now < frames ? host->end - host->now : frames;
  return (int)frames;
}

/* After the loop has turned either of the next two calls may lack its report (Ardour; measured). */
static void
fall_silent(TlHost *const host, const TlTruth *const truth)
{
  const int s = truth->stretch + 1;
  host->skip >>= 1;
  if (host->manner->splits && s < host->stretches && host->stretch[s].loop &&
      host->stretch[s].from == host->now) {
    host->skip = (int)tl_throw(&host->dice, 3);
  }
}

bool
tl_host_call(TlHost *const host, TlCall *const call)
{
  if (host->now >= host->end) {
    return false;
  }
  TlTruth truth = tl_host_truth(host, host->now, &host->last);
  call->frames  = call_length(host, &truth);
  call->reports = 0;
  if (!(host->skip & 1) && has_something_to_say(host, &truth)) {
    speak(host, call, 0, &truth);
  }
  for (int at = 0; host->manner->at_its_frame;) {
    at = next_change(host, at, &truth, call->frames);
    if (at >= call->frames) {
      break;
    }
    truth = tl_host_truth(host, host->now + at, &truth);
    speak(host, call, at, &truth);
  }
  host->now += call->frames;
  host->grid_left -= call->frames;
  fall_silent(host, &truth);
  return true;
}
