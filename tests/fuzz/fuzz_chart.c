/* SPDX-License-Identifier: ISC */
/* Feeds the chart parser anything. What it reads must hang together; what it refuses must be
   refused with a reason and a line. A libFuzzer harness:

     clang -std=c11 -g -O1 -fsanitize=fuzzer,address,undefined -fno-sanitize-recover=all \
       tests/fuzz/fuzz_chart.c core/(all).c -lm -o fuzz_chart
     fuzz_chart -max_len=17000 CORPUS presets tests/charts/broken

   RL_PLANTED_BUG, defined for one build only, plants an off-by-one below, so that one can see the
   fuzzer find it: a fuzzer that finds nothing there finds nothing anywhere. */
#include "core/chart/chart.h"
#include "demand.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

static RlForm form, again;

static int
bars_in_all(void)
{
  return form.bars + form.ending_bars;
}

/* ---- what was refused ---- */

static void
error_check(const RlChartError *const error, const uint8_t *const data, const size_t size)
{
  DEMAND(error->line >= 1);
  DEMAND(error->line <= lines_in((const char *)data, size));
  DEMAND(error->bar >= 0);
  DEMAND(memchr(error->reason, '\0', RL_REASON_SIZE));
  const size_t length = strlen(error->reason);
  DEMAND(length > 0);
  DEMAND(length < RL_REASON_SIZE - 1); /* one byte less than the buffer: nothing was cut */
  DEMAND(size > RL_CHART_MAX || rl_slice_bad_byte((RlSlice){error->reason, length}) < 0);
  char   buffer[RL_REASON_SIZE + 64];
  RlText message = rl_text_in(buffer, sizeof(buffer));
  rl_chart_error_write(error, &message);
  DEMAND(strncmp(buffer, "line ", 5) == 0 && message.used > length);
  DEMAND(strcmp(buffer + message.used - length, error->reason) == 0);
}

/* ---- what was read ---- */

static void
span_check(const RlSpan span)
{
  DEMAND(span.at + span.length <= form.text_length);
}

/* A header that was read is found again by its name, one that nobody wrote is not. */
static void
header_check(const char *const name, const RlSlice value)
{
  const RlSlice found = rl_chart_header(&form, name);
  DEMAND(found.at >= form.text && found.at + found.length <= form.text + form.text_length);
  DEMAND(found.length == value.length && (!value.length || found.at == value.at));
}

static void
head_check(const size_t size)
{
  DEMAND(form.bars >= 1);
  DEMAND(bars_in_all() <= RL_BARS_MAX);
  DEMAND(form.chords <= RL_CHORDS_MAX);
  DEMAND(form.sections <= RL_SECTIONS_MAX);
  DEMAND(form.tempo == 0 || (form.tempo >= 20 && form.tempo <= 400));
  DEMAND(form.choruses <= 9999);
  DEMAND(form.lead_in <= RL_BARS_MAX);
  DEMAND(!form.lead_in_from || form.lead_in_from + form.lead_in - 1 <= form.bars);
  DEMAND(form.text_length <= size);
  DEMAND(form.text[form.text_length] == '\0');
  span_check(form.title);
  span_check(form.feel);
  for (int i = 0; i < form.sections; ++i) {
    span_check(form.section[i]);
    DEMAND(form.section[i].length > 0);
  }
  header_check("title", rl_form_text(&form, form.title));
  header_check("feel", rl_form_text(&form, form.feel));
  header_check("no name has a space", (RlSlice){form.text, 0});
}

static void
meter_check(const int beats, const int unit)
{
  DEMAND(beats >= 1 && beats <= RL_BAR_BEATS_MAX);
  DEMAND(unit >= 1 && unit <= 32 && (unit & (unit - 1)) == 0);
}

#ifdef RL_PLANTED_BUG
#define BELOW <= /* one chord too many: past the end behind a full bar only */
#else
#define BELOW <
#endif

/* Copies the chords of a bar, as a drawing does. */
static void
chords_copy(const RlBar *const bar, RlFormChord *const to)
{
  for (int i = 0; i BELOW bar->chords; ++i) {
    to[i] = form.chord[bar->first_chord + i];
  }
}

static void
bar_check(const RlBar *const bar)
{
  meter_check(bar->beats, bar->unit);
  DEMAND(bar->chords >= 1 && bar->chords <= RL_BAR_CHORDS_MAX);
  DEMAND(bar->first_chord + bar->chords <= form.chords);
  DEMAND(bar->section < form.sections || bar->section == RL_SECTIONS_MAX);
  DEMAND(bar->written < RL_CHART_MAX);
  RlFormChord *const chord = malloc(sizeof(RlFormChord) * RL_BAR_CHORDS_MAX);
  DEMAND(chord);
  chords_copy(bar, chord);
  DEMAND(chord[0].beat == 0);
  for (int i = 0; i < bar->chords; ++i) {
    DEMAND(chord[i].beat < bar->beats);
    DEMAND(i == 0 || chord[i].beat > chord[i - 1].beat);
  }
  free(chord);
}

/* The bars' starts grow by a bar's own length; in bars by one. */
static void
starts_check(void)
{
  for (int axis = 0; axis < RL_AXES; ++axis) {
    const double *const starts = form.starts[axis];
    DEMAND(starts[0] == 0);
    for (int i = 0; i < bars_in_all(); ++i) {
      DEMAND(starts[i + 1] > starts[i]);
      DEMAND(starts[i + 1] - starts[i] <= RL_BAR_BEATS_MAX * 4);
    }
  }
  DEMAND(form.starts[RL_AXIS_BARS][bars_in_all()] == bars_in_all());
}

static bool
same(const int chord, const int change)
{
  return rl_chord_same(form.chord[chord].chord, rl_form_chord(&form, change));
}

/* Goes through all chords of a strain in order: a change wherever the name differs, and nowhere
   else. Returns the changes seen. */
static int
changes_check(const int from, const int to, int change)
{
  const int before = change;
  for (int i = from; i < to; ++i) {
    const RlBar *const bar = &form.bar[i];
    for (int k = 0; k < bar->chords; ++k) {
      const int at = bar->first_chord + k;
      if (change == before || !same(at, change - 1)) {
        DEMAND(form.change[change].bar == i);
        DEMAND(form.change[change].chord == at);
        DEMAND(form.change[change].beat == form.chord[at].beat);
        ++change;
      }
      DEMAND(k > 0 || bar->first_change == change - 1);
    }
  }
  return change - before;
}

/* ---- names ---- */

static bool
written_same(const RlWritten a, const RlWritten b)
{
  return a.letter == b.letter && a.step == b.step && a.alter == b.alter;
}

/* A ii of another degree reads back as one in front of a V of that degree only. */
static void
second_lead(RlChord *const back, const RlChord chord)
{
  const RlChord fifth = {
    .quality = chord.quality, .of = chord.of, .root = {false, 4, 0}, .bass = back->bass};
  if (chord.of && !back->of) {
    DEMAND(chord.root.step == 1 && chord.root.alter == 0 && rl_chord_leads(back, fifth));
  }
}

/* A chord's name and degree fit their buffer, and the degree reads back as the same chord. */
static void
names_check(const RlChord chord, const RlKey key)
{
  char            buffer[4 * RL_CHORD_SIZE];
  RlText          text    = rl_text_in(buffer, sizeof(buffer));
  const RlHarmony harmony = rl_harmony_of(chord, key);
  RlChord         back;
  rl_harmony_name(&harmony, &text);
  DEMAND(text.used > 0 && text.used < RL_CHORD_SIZE);
  text = rl_text_in(buffer, sizeof(buffer));
  rl_harmony_degree(&harmony, &text);
  DEMAND(text.used > 0 && text.used < RL_CHORD_SIZE);
  DEMAND(rl_chord_read((RlSlice){buffer, text.used}, &back) == RL_CHORD_OK);
  if (!harmony.sounding) {
    DEMAND(back.quality == RL_QUALITY_NONE);
    return;
  }
  second_lead(&back, chord);
  back                   = rl_chord_in_key(back, key);
  const RlHarmony sounds = rl_harmony_of(back, key);
  DEMAND(back.quality == chord.quality);
  DEMAND(back.has_bass == chord.has_bass && back.of == chord.of);
  const bool raised = key.minor && harmony.degree.alter > 0;
  DEMAND(raised || written_same(back.root, harmony.degree));
  DEMAND(rl_harmony_root(&sounds) == rl_harmony_root(&harmony));
  DEMAND(rl_spelling_class(sounds.bass) == rl_spelling_class(harmony.bass));
  DEMAND(sounds.scale == harmony.scale);
}

/* ---- places ---- */

static void
chords_check(const RlPlace *const place)
{
  const RlChordsAt chords = rl_form_chords_at(&form, place);
  const int        in_all = form.changes + form.ending_changes;
  DEMAND(chords.now >= -1 && chords.now < in_all);
  DEMAND(chords.next >= -1 && chords.next < in_all);
  DEMAND((chords.now >= 0) == (place->index >= 0));
  DEMAND(chords.next >= 0 ? chords.beats_to_next > 0 : chords.beats_to_next == 0);
  if (chords.now >= 0 && chords.next >= 0) {
    DEMAND(!rl_chord_same(rl_form_chord(&form, chords.now), rl_form_chord(&form, chords.next)));
  }
  if (chords.now >= 0) {
    DEMAND(form.change[chords.now].bar <= place->index);
    DEMAND(form.change[chords.now].bar < place->index ||
           form.change[chords.now].beat <= place->beat);
  }
}

static void
place_check(const RlAxis axis, const double at, const double slack)
{
  const RlPlace place = rl_form_locate(&form, axis, at, slack);
  const double  line  = rl_form_nearest_bar(&form, axis, at);
  meter_check(place.beats, place.unit);
  DEMAND(place.part > RL_PART_NOWHERE && place.part <= RL_PART_OVER);
  DEMAND(place.beat >= 0 && place.beat < place.beats);
  DEMAND(place.beats_per_step > 0);
  DEMAND(place.chorus >= 0 && place.chorus <= 9999);
  DEMAND(place.bar >= -9999 && place.bar <= bars_in_all());
  DEMAND((place.bar < 0) == (place.part == RL_PART_BEFORE || place.part == RL_PART_LEAD_IN));
  DEMAND((place.bar < -form.lead_in) == (place.part == RL_PART_BEFORE));
  DEMAND(place.index >= -1 && place.index < bars_in_all());
  DEMAND(place.index < 0 || form.bar[place.index].beats == place.beats);
  DEMAND((place.part == RL_PART_CHORUS) ==
         (place.index >= 0 && place.chorus > 0 && place.index < form.bars));
  DEMAND((place.part == RL_PART_ENDING) == (place.index >= form.bars));
  DEMAND(line - at <= 64 && at - line <= 64); /* half of 32/1, the longest bar */
  chords_check(&place);
}

/* A few moments before, in and after the song, drawn from the input. */
static void
places_check(uint64_t seed)
{
  enum { MOMENTS = 12 };
  static const double hair = 5e-324;
  for (int i = 0; i < MOMENTS; ++i) {
    seed                = seed * 6364136223846793005U + 1442695040888963407U;
    const RlAxis axis   = (RlAxis)(i % RL_AXES);
    const double length = form.starts[axis][bars_in_all()];
    const double within = (double)(seed >> 40U) / (double)(1U << 24U);
    const double at     = (within * 5 - 1) * length;
    place_check(axis, i < MOMENTS / 2 ? at : at - rl_form_lead_in(&form, axis) / 2, 0);
    place_check(axis, form.starts[axis][seed % (uint64_t)(bars_in_all() + 1)], i % 2 ? 1e-6 : 0);
  }
  for (int axis = 0; axis < RL_AXES; ++axis) {
    place_check((RlAxis)axis, -hair, 0);
    place_check((RlAxis)axis, -rl_form_lead_in(&form, (RlAxis)axis) - hair, 0);
  }
}

static uint64_t
seed_of(const uint8_t *const data, const size_t size)
{
  uint64_t hash = 14695981039346656037U; /* FNV-1a */
  for (size_t i = 0; i < size; ++i) {
    hash = (hash ^ data[i]) * 1099511628211U;
  }
  return hash;
}

/* The text that was kept reads as the same form. */
static void
again_check(void)
{
  RlChartError error;
  DEMAND(rl_chart_read((RlSlice){form.text, form.text_length}, &again, &error));
  DEMAND(again.bars == form.bars && again.ending_bars == form.ending_bars);
  DEMAND(again.chords == form.chords && again.changes == form.changes);
  DEMAND(again.ending_changes == form.ending_changes && again.sections == form.sections);
  DEMAND(again.choruses == form.choruses && again.lead_in == form.lead_in);
}

static void
form_check(const uint8_t *const data, const size_t size)
{
  const uint64_t seed = seed_of(data, size);
  head_check(size);
  meter_check(form.meter_beats, form.meter_unit);
  for (int i = 0; i < bars_in_all(); ++i) {
    bar_check(&form.bar[i]);
  }
  starts_check();
  DEMAND(form.changes >= 1);
  DEMAND(changes_check(0, form.bars, 0) == form.changes);
  DEMAND(changes_check(form.bars, bars_in_all(), form.changes) == form.ending_changes);
  for (int i = 0; i < form.changes + form.ending_changes; ++i) {
    names_check(rl_form_chord(&form, i), form.key);
    names_check(rl_form_chord(&form, i), rl_key_named((int)(seed % 12), seed % 5 == 0));
  }
  places_check(seed);
  again_check();
}

int
LLVMFuzzerTestOneInput(const uint8_t *const data, const size_t size)
{
  RlChartError  error;
  const RlSlice text = {size ? (const char *)data : "", size};
  memset(&error, 0xA5, sizeof(error));
  if (rl_chart_read(text, &form, &error)) {
    form_check(data, size);
  } else {
    error_check(&error, data, size);
  }
  return 0;
}
