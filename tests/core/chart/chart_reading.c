/* SPDX-License-Identifier: ISC */
#include "chart_reading.h"

#include <string.h>

enum { SHOWN_ROOM = 32768 };

RlForm       the_form;
RlChartError the_error;

const RlForm *
form_of_slice(const RlSlice text)
{
  if (!rl_chart_read(text, &the_form, &the_error)) {
    char   buffer[RL_REASON_SIZE + 64];
    RlText shown = rl_text_in(buffer, sizeof(buffer));
    rl_chart_error_write(&the_error, &shown);
    fail_msg("should read, but: %s", buffer);
  }
  return &the_form;
}

const RlForm *
form_of(const char *const text)
{
  return form_of_slice(rl_slice(text));
}

const char *
error_of_slice(const RlSlice text)
{
  static char buffer[RL_REASON_SIZE + 64];
  RlText      shown = rl_text_in(buffer, sizeof(buffer));
  if (rl_chart_read(text, &the_form, &the_error)) {
    return "no error";
  }
  rl_chart_error_write(&the_error, &shown);
  return buffer;
}

const char *
error_of(const char *const text)
{
  return error_of_slice(rl_slice(text));
}

typedef void NameWriter(const RlHarmony *, RlText *);

static void
bar_show(const RlForm *const form, const int index, const RlKey key, NameWriter *const write,
         RlText *const out)
{
  const RlBar *const bar   = &form->bar[index];
  const int          beats = index ? bar[-1].beats : 4;
  const int          unit  = index ? bar[-1].unit : 4;
  if (bar->beats != beats || bar->unit != unit) {
    rl_text_add_int(out, bar->beats);
    rl_text_add(out, "/");
    rl_text_add_int(out, bar->unit);
    rl_text_add(out, " ");
  }
  for (int i = 0; i < bar->chords; ++i) {
    const RlFormChord *const chord   = &form->chord[bar->first_chord + i];
    const RlHarmony          harmony = rl_harmony_of(chord->chord, key);
    rl_text_add(out, i ? " " : "");
    write(&harmony, out);
    if (chord->beat) {
      rl_text_add(out, "@");
      rl_text_add_int(out, chord->beat);
    }
  }
}

const char *
shown_in(const RlForm *const form, const RlKey key, NameWriter *const write)
{
  static char buffer[SHOWN_ROOM];
  RlText      out = rl_text_in(buffer, sizeof(buffer));
  for (int i = 0; i < form->bars + form->ending_bars; ++i) {
    rl_text_add(&out, !i ? "" : i == form->bars ? " || " : " | ");
    bar_show(form, i, key, write, &out);
  }
  return buffer;
}

const char *
played(const char *const text)
{
  const RlForm *const form = form_of(text);
  return shown_in(form, form->key, rl_harmony_degree);
}

const char *
by_letter(const char *const text, const int tonic, const bool minor)
{
  return shown_in(form_of(text), rl_key_named(tonic, minor), rl_harmony_name);
}

void
slice_is(const RlSlice slice, const char *const expected)
{
  char         buffer[256];
  const size_t n = slice.length < sizeof(buffer) - 1 ? slice.length : sizeof(buffer) - 1;
  memcpy(buffer, slice.at, n);
  buffer[n] = '\0';
  assert_string_equal(buffer, expected);
}

RlSlice
section_of(const RlForm *const form, const int index)
{
  const int section = form->bar[index].section;
  return section < form->sections ? rl_form_text(form, form->section[section])
                                  : (RlSlice){form->text, 0};
}

static bool
bars_equal(const RlBar *const a, const RlBar *const b)
{
  return a->first_chord == b->first_chord && a->first_change == b->first_change &&
         a->written == b->written && a->chords == b->chords && a->beats == b->beats &&
         a->unit == b->unit && a->section == b->section;
}

void
forms_equal(const RlForm *const a, const RlForm *const b)
{
  assert_int_equal(a->bars, b->bars);
  assert_int_equal(a->ending_bars, b->ending_bars);
  assert_int_equal(a->chords, b->chords);
  assert_int_equal(a->sections, b->sections);
  assert_int_equal(a->changes, b->changes);
  assert_int_equal(a->ending_changes, b->ending_changes);
  assert_int_equal(a->lead_in, b->lead_in);
  assert_int_equal(a->lead_in_from, b->lead_in_from);
  assert_int_equal(a->choruses, b->choruses);
  assert_int_equal(a->has_key, b->has_key);
  assert_int_equal(a->key.tonic.letter, b->key.tonic.letter);
  assert_int_equal(a->key.tonic.alter, b->key.tonic.alter);
  assert_int_equal(a->key.minor, b->key.minor);
  assert_true(a->tempo == b->tempo);
  assert_int_equal(a->meter_beats, b->meter_beats);
  assert_int_equal(a->meter_unit, b->meter_unit);
  assert_int_equal(a->title.length, b->title.length);
  assert_memory_equal(a->text + a->title.at, b->text + b->title.at, a->title.length);
  for (int i = 0; i < a->bars + a->ending_bars; ++i) {
    assert_true(bars_equal(&a->bar[i], &b->bar[i]));
    for (int axis = 0; axis < RL_AXES; ++axis) {
      assert_true(a->starts[axis][i + 1] == b->starts[axis][i + 1]);
    }
  }
  for (int i = 0; i < a->chords; ++i) {
    assert_true(rl_chord_same(a->chord[i].chord, b->chord[i].chord));
    assert_int_equal(a->chord[i].beat, b->chord[i].beat);
  }
  for (int i = 0; i < a->changes + a->ending_changes; ++i) {
    assert_int_equal(a->change[i].bar, b->change[i].bar);
    assert_int_equal(a->change[i].chord, b->change[i].chord);
    assert_int_equal(a->change[i].beat, b->change[i].beat);
  }
  for (int i = 0; i < a->sections; ++i) {
    assert_int_equal(a->section[i].length, b->section[i].length);
    assert_memory_equal(a->text + a->section[i].at, b->text + b->section[i].at,
                        a->section[i].length);
  }
}
