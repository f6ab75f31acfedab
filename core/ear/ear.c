/* SPDX-License-Identifier: ISC */
#include "core/ear/ear.h"

#include "core/ear/chords.h"
#include "core/ear/halves.h"
#include "core/ear/keeper.h"
#include "core/ear/rivals.h"

#include <math.h>
#include <string.h>

struct RlEar {
  RlScore     score;
  RlResampler resampler;
  RlHearing   hearing;
  RlChords    chords;
  RlKeeper    keeper;
  RlRivals    rivals;
  RlHalves    halves;
  RlLattice   lattice;
  uint64_t    frames; /* taken */
  uint8_t     symbol[2];
  float       fine[RL_PULSE_BANDS]; /* mean of both hops */
  int         hop;                  /* of the step, 0 or 1 */
  int         chorus, last_bar, last_beat;
  double      quiet;    /* seconds in which nothing sounded */
  double      pause;    /* felt beats in which nothing much began */
  double      longest;  /* such pause since the place broke, after which it went on */
  bool        believed; /* the place, since it last broke */
};

static const double lag         = 0.15; /* seconds that the chords heard are behind */
static const double tempo_least = 50, tempo_most = 220;
static const double sure_first = 0.92, sure_least = 0.72; /* to be believed, and from then on */
static const double mass_least = 0.5, held_least = 4, quiet_most = 3;
static const double pause_first = 2, pause_most = 4; /* beats with no onsets that end a song */
static const double pause_more = 1.3;                /* than it had before */

static size_t
aligned(const size_t bytes)
{
  return (bytes + 63) & ~(size_t)63;
}

size_t
rl_ear_bytes(const RlForm *const form)
{
  RlScore score;
  if (!rl_score_read(form, &score)) {
    return 0;
  }
  return aligned(sizeof(RlEar)) + aligned(rl_hearing_fft_bytes()) + rl_lattice_bytes(&score);
}

RlEar *
rl_ear_init(void *const memory, const RlForm *const form, const int key, const double rate)
{
  RlEar *const ear = memory;
  char *const  fft = (char *)memory + aligned(sizeof(RlEar));
  memset(ear, 0, sizeof(*ear));
  rl_score_read(form, &ear->score);
  rl_resampler_init(&ear->resampler, rate);
  rl_hearing_init(&ear->hearing, fft);
  rl_chords_init(&ear->chords, &ear->score, key);
  rl_keeper_init(&ear->keeper);
  rl_lattice_init(&ear->lattice, fft + aligned(rl_hearing_fft_bytes()), &ear->score);
  ear->chorus    = 1;
  ear->last_beat = -1;
  return ear;
}

static const double lean_beats[RL_EAR_LEANS] = {0, 0.5, -0.5};

/* What begins now, by the place shown a lag ago. */
static RlChangeHere
change_here(RlEar *const ear)
{
  const RlPointer place = ear->keeper.shown;
  const double    at    = place.at - lag * RL_EAR_STEPS / place.period + lean_beats[place.lean];
  const int       beat  = ((int)floor(at) + 2 * ear->score.beats) % ear->score.beats;
  const bool      same  = beat == ear->last_beat;
  static const RlChangeHere by_kind[RL_BEAT_KINDS] = {RL_CHANGE_BAR, RL_CHANGE_MIDDLE,
                                                      RL_CHANGE_BEAT};
  ear->last_beat                                   = beat;
  return same ? RL_CHANGE_NONE : by_kind[ear->score.beat[beat].kind];
}

static void
chorus_count(RlEar *const ear, const int bar)
{
  if (bar < ear->last_bar - ear->score.bars / 2) {
    ++ear->chorus;
  }
  ear->last_bar = bar;
}

static float
log_odds(const double share)
{
  const double within = fmin(fmax(share, 0.005), 0.995);
  return (float)log(within / (1 - within));
}

static void
figures_fill(const RlEar *const ear, float figure[RL_FIGURES])
{
  const RlKeeper *const k               = &ear->keeper;
  const RlRivals *const r               = &ear->rivals;
  const RlMargin        two             = rl_rivals_margin(r, k->shown.lean, 2);
  const float           all[RL_FIGURES] = {
              [RL_FIGURE_MASS]       = log_odds(k->mass),
              [RL_FIGURE_TRUST]      = log_odds(k->trust),
              [RL_FIGURE_HELD]       = (float)log(1 + k->held),
              [RL_FIGURE_BARS]       = (float)k->versus_bars,
              [RL_FIGURE_ANY]        = (float)k->versus_any,
              [RL_FIGURE_ONSETS]     = r->onset[RL_RIVAL_SELF],
              [RL_FIGURE_HALF]       = rl_rivals_margin(r, k->shown.lean, 0.5).all,
              [RL_FIGURE_BEAT]       = rl_rivals_margin(r, k->shown.lean, 1).all,
              [RL_FIGURE_TWO]        = two.all,
              [RL_FIGURE_TWO_CHORDS] = two.chords,
  };
  memcpy(figure, all, sizeof(all));
}

/* Does one band at least hear as much begin as it can tell? */
static bool
begins_much(const uint8_t symbol)
{
  return symbol >> 4 == 3 || (symbol >> 2 & 3) == 3 || (symbol & 3) == 3;
}

/* How long nothing much has begun, and how long that was at most in the song so far. */
static void
pause_step(RlEar *const ear)
{
  const RlKeeper *const k = &ear->keeper;
  ear->longest            = k->held > 0 ? ear->longest : 0;
  if (begins_much(ear->symbol[0]) || begins_much(ear->symbol[1])) {
    ear->longest = k->held > held_least ? fmax(ear->longest, fmin(ear->pause, pause_most)) : 0;
    ear->pause   = 0;
  } else {
    ear->pause += 1 / k->shown.period;
  }
}

/* A song that stops has ended unless it goes on within a bar, and so has one that only lets a chord
   ring, for longer than it ever did. */
static bool
is_over(const RlEar *const ear)
{
  const double bar  = 4 * ear->keeper.shown.period / RL_EAR_STEPS;
  const double most = fmin(fmax(pause_first, pause_more * ear->longest), pause_most);
  return ear->quiet > fmin(bar, quiet_most) || ear->pause > most;
}

/* A person's word is believed, and a place known from before as long as the filter agrees. A place
   that was believed once stays so until it breaks or doubts become strong: evidence for it fades.
 */
static double
sure_now(RlEar *const ear, const double likely)
{
  const RlKeeper *const k     = &ear->keeper;
  const bool            agree = k->mass > 0.8 && k->trust > 0.6 && k->versus_bars > -8;
  const bool            given = k->told > 0 || (k->expected > 0 && agree);
  const bool            may   = k->mass > mass_least && k->held >= held_least;
  ear->believed               = may && likely >= (ear->believed ? sure_least : sure_first);
  return is_over(ear) ? 0 : given ? k->mass : ear->believed ? likely : 0;
}

static void
report_fill(RlEar *const ear, RlEarReport *const report)
{
  const RlKeeper *const    k    = &ear->keeper;
  const RlScoreBeat *const beat = &ear->score.beat[(int)k->shown.at];
  const int                key  = rl_chords_key(&ear->chords);
  float                    tuning_sure;
  chorus_count(ear, beat->bar);
  *report = (RlEarReport){
    .fresh    = true,
    .frame    = ear->frames,
    .at       = k->shown.at,
    .chorus   = ear->chorus,
    .bar      = beat->bar + 1,
    .beat     = beat->in_bar + k->shown.at - floor(k->shown.at),
    .tempo    = RL_EAR_STEPS * 60 / k->shown.period,
    .mass     = k->mass,
    .cents    = 100 * (double)rl_hearing_tuning(&ear->hearing, &tuning_sure),
    .key      = key,
    .key_sure = (double)ear->chords.key[key],
    .feel     = k->shown.feel,
    .held     = k->held,
  };
  figures_fill(ear, report->figure);
  report->likely = (double)rl_sure(report->figure);
  report->sure   = sure_now(ear, report->likely);
}

static void
step_take(RlEar *const ear, RlEarReport *const report)
{
  const RlPointer  was      = ear->keeper.shown;
  const double     due      = was.at + 1 / was.period;
  const RlEvidence evidence = {{ear->symbol[0], ear->symbol[1]},
                               ear->chords.chord,
                               ear->chords.bass,
                               rl_halves_grid(&ear->halves, due, was.period),
                               rl_keeper_jump(&ear->keeper),
                               rl_keeper_settled(&ear->keeper)};
  rl_lattice_step(&ear->lattice, &evidence);
  rl_keeper_step(&ear->keeper, &ear->lattice, ear->chords.free_gain, ear->chords.barred_gain);
  ear->quiet = ear->hearing.heard.loud ? 0 : ear->quiet + 1.0 / RL_EAR_STEPS;
  if (ear->keeper.held <= 0) { /* it has just broken */
    rl_rivals_forget(&ear->rivals);
  }
  const double by = ear->keeper.shown.at - due, beats = ear->score.beats;
  rl_halves_moved(&ear->halves, by - beats * floor(by / beats + 0.5),
                  ear->keeper.shown.period / was.period);
  rl_halves_step(&ear->halves, ear->fine, ear->keeper.shown.at);
  rl_rivals_step(&ear->rivals, &ear->lattice, ear->keeper.shown, &evidence);
  pause_step(ear);
  report_fill(ear, report);
}

/* An observation of 10 ms; every other one makes a step. */
static void
hop_take(RlEar *const ear, RlEarReport *const report)
{
  const RlHeard *const heard = &ear->hearing.heard;
  ear->symbol[ear->hop]      = heard->symbol;
  for (int b = 0; b < RL_PULSE_BANDS; ++b) {
    ear->fine[b] = 0.5F * heard->fine[b] + (ear->hop ? ear->fine[b] : 0);
  }
  if (ear->hop == 0) {
    rl_chords_step(&ear->chords, heard, change_here(ear));
  } else {
    step_take(ear, report);
  }
  ear->hop = !ear->hop;
}

uint32_t
rl_ear_hear(RlEar *const ear, const float *const sound, const uint32_t frames,
            RlEarReport *const report)
{
  uint32_t i    = 0;
  report->fresh = false;
  while (i < frames && !report->fresh) {
    float     out[2];
    const int came = rl_resampler_push(&ear->resampler, sound[i++], out);
    ++ear->frames;
    for (int k = 0; k < came; ++k) {
      if (rl_hearing_push(&ear->hearing, out[k])) {
        hop_take(ear, report);
      }
    }
  }
  return i;
}

void
rl_ear_look(const RlEar *const ear, RlEarLook *const look)
{
  memcpy(look->symbol, ear->symbol, sizeof(look->symbol));
  memcpy(look->fine, ear->fine, sizeof(look->fine));
  for (int k = 0; k < RL_CHORD_CLASSES; ++k) {
    look->chord[k] = 0.5F * logf(ear->chords.likely[k]);
  }
  for (int i = 0; i < 12; ++i) {
    look->bass[i] = ear->hearing.heard.loud ? ear->hearing.heard.bass[i] : 0;
  }
}

/* ---- hints ---- */

void
rl_ear_locate(RlEar *const ear)
{
  float           share[RL_EAR_TEMPI_MAX];
  const RlPointer last = ear->keeper.shown;
  rl_lattice_tempi(&ear->lattice, share);
  rl_lattice_spread(&ear->lattice, share);
  rl_keeper_init(&ear->keeper);
  rl_rivals_forget(&ear->rivals);
  rl_halves_forget(&ear->halves);
  ear->keeper.shown.period = last.period;
}

static void
tempo_told(RlEar *const ear, const double tempo)
{
  const double told = fmin(fmax(tempo, tempo_least), tempo_most);
  rl_lattice_expect(&ear->lattice, told);
  rl_lattice_spread(&ear->lattice, ear->lattice.prior);
  rl_keeper_init(&ear->keeper);
  rl_rivals_forget(&ear->rivals);
  rl_halves_forget(&ear->halves);
  ear->keeper.shown.period = RL_EAR_STEPS * 60 / told;
}

void
rl_ear_place(RlEar *const ear, const double at, const double tempo)
{
  const double    period = RL_EAR_STEPS * 60 / fmin(fmax(tempo, tempo_least), tempo_most);
  const double    beats  = ear->score.beats;
  const RlPointer place  = {at - beats * floor(at / beats), period, ear->keeper.shown.feel, 0};
  rl_lattice_sow(&ear->lattice, place, 1e3F * ear->lattice.sum);
  rl_keeper_expect(&ear->keeper, place);
  rl_rivals_forget(&ear->rivals);
  rl_halves_forget(&ear->halves);
}

void
rl_ear_half_time(RlEar *const ear)
{
  tempo_told(ear, RL_EAR_STEPS * 30 / ear->keeper.shown.period);
}

void
rl_ear_double_time(RlEar *const ear)
{
  tempo_told(ear, RL_EAR_STEPS * 120 / ear->keeper.shown.period);
}

void
rl_ear_tap(RlEar *const ear, const double tempo)
{
  tempo_told(ear, tempo);
}

void
rl_ear_bar_one(RlEar *const ear)
{
  const RlPointer place = {0, ear->keeper.shown.period, ear->keeper.shown.feel, 0};
  rl_lattice_sow(&ear->lattice, place, 1e3F * ear->lattice.sum);
  rl_keeper_told(&ear->keeper, place);
  rl_rivals_forget(&ear->rivals);
  rl_halves_forget(&ear->halves);
  ear->chorus   = 1;
  ear->last_bar = 0;
}
