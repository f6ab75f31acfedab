/* SPDX-License-Identifier: ISC */
#include "ui/paper/chords.h"

#include "ui/paper/labels.h"
#include "ui/paper/pen.h"
#include "ui/paper/song.h"

#include <assert.h>
#include <math.h>

const RlBar *
rl_chords_bar(const RlSheet *const sheet, const int n)
{
  const RlSongBar bar = rl_song_bar(sheet, n);
  assert(bar.place.index < sheet->form->bars + sheet->form->ending_bars);
  return bar.place.index < 0 ? NULL : &sheet->form->bar[bar.place.index];
}

static bool
meter_changes(const RlForm *const f, const int n)
{
  const RlBar *const bar  = &f->bar[n];
  const RlBar *const prev = n > 0 && n != f->bars ? bar - 1 : NULL;
  return prev ? prev->beats != bar->beats || prev->unit != bar->unit
              : bar->beats != f->meter_beats || bar->unit != f->meter_unit;
}

static void
number_draw(const RlPaint *const p, const RlSheet *const sheet, const int n, RlRect *const box)
{
  char   words[RL_LABEL_SIZE];
  RlText text = rl_text_in(words, sizeof(words));
  RlRect at   = rl_rect_cut_left(box, n < 99 ? 15 : 19);
  at.h        = RL_CHORDS_HEIGHT;
  rl_text_add_int(&text, n < 0 ? n : n + 1);
  rl_pen_write(p, at, 8.5, RL_PLAIN, RL_LEFT, words);
  if (n >= 0 && meter_changes(sheet->form, n)) {
    text = rl_text_in(words, sizeof(words));
    rl_text_add_int(&text, sheet->form->bar[n].beats);
    rl_text_add(&text, "/");
    rl_text_add_int(&text, sheet->form->bar[n].unit);
    at   = rl_rect_cut_left(box, 22);
    at.h = RL_CHORDS_HEIGHT;
    rl_pen_write(p, at, 10, RL_BOLD, RL_LEFT, words);
  }
}

/* A chord's name; its degree beside it if it is alone in its bar, else below. */
static void
chord_draw(const RlPaint *const p, const RlSheet *const sheet, const RlChord chord, RlRect box,
           const bool alone)
{
  char          names[RL_LABEL_SIZE], degrees[RL_LABEL_SIZE];
  RlText        name   = rl_text_in(names, sizeof(names));
  RlText        degree = rl_text_in(degrees, sizeof(degrees));
  const RlStyle loud   = {alone ? 15 : 13, RL_BOLD, RL_INK_PRINT, RL_LEFT};
  const RlStyle quiet  = {alone ? 9.5 : 8, RL_PLAIN, RL_INK_PRINT, RL_LEFT};
  RlRect        top    = rl_rect_cut_top(&box, RL_CHORDS_HEIGHT);
  rl_label_chord(sheet, chord, false, &name);
  if (rl_harmony_of(chord, sheet->key).sounding) {
    rl_label_chord(sheet, chord, true, &degree);
  }
  if (alone) {
    const double degree_width = rl_write_width(p, quiet, degrees) + 4;
    box                       = top;
    top = rl_rect_cut_left(&box, fmin(rl_write_width(p, loud, names) + 4, box.w - degree_width));
  }
  rl_write(p, top, loud, names);
  rl_write(p, box, quiet, degrees);
}

/* About how wide a chord must be to be read, its degree below it or, `alone`, beside it. */
static double
chord_needs(const RlSheet *const sheet, const RlChord chord, const bool alone)
{
  char   name[RL_LABEL_SIZE], degree[RL_LABEL_SIZE];
  RlText letters = rl_text_in(name, sizeof(name));
  RlText numbers = rl_text_in(degree, sizeof(degree));
  rl_label_chord(sheet, chord, false, &letters);
  rl_label_chord(sheet, chord, true, &numbers);
  const double wide         = rl_pen_width_estimate(name, 11) + 3;
  const double degree_width = rl_pen_width_estimate(degree, 8) + 4;
  return alone ? wide + degree_width : fmax(wide, degree_width);
}

/* How the chords share their bar's width: by beats, or where one of them would be too narrow by
   what each needs. */
static void
shares_find(const RlSheet *const sheet, const RlBar *const bar, const double width,
            double *const share)
{
  double sum  = 0;
  bool   fits = true;
  for (int i = 0; i < bar->chords; ++i) {
    const RlFormChord *const c    = &sheet->form->chord[bar->first_chord + i];
    const int                till = i + 1 < bar->chords ? c[1].beat : bar->beats;
    share[i]                      = width * (till - c->beat) / bar->beats;
    fits                          = fits && chord_needs(sheet, c->chord, false) <= share[i];
    sum += chord_needs(sheet, c->chord, false);
  }
  for (int i = 0; i < bar->chords && !fits; ++i) {
    share[i] =
      width * chord_needs(sheet, sheet->form->chord[bar->first_chord + i].chord, false) / sum;
  }
}

void
rl_chords_draw(const RlPaint *const p, const RlSheet *const sheet, const int n, RlRect box)
{
  const RlBar *const bar = rl_chords_bar(sheet, n);
  double             share[RL_BAR_CHORDS_MAX]; /* points */
  rl_rect_cut_left(&box, 3);
  number_draw(p, sheet, n, &box);
  if (!bar) {
    return;
  }
  shares_find(sheet, bar, box.w, share);
  for (int i = 0; i < bar->chords; ++i) {
    RlRect at = rl_rect_cut_left(&box, share[i]);
    at.w -= 2;
    chord_draw(p, sheet, sheet->form->chord[bar->first_chord + i].chord, at, bar->chords == 1);
  }
}

double
rl_chords_width(const RlSheet *const sheet, const int n)
{
  const RlBar *const bar = rl_chords_bar(sheet, n);
  double             sum = 18;
  for (int i = 0; bar && i < bar->chords; ++i) {
    sum += chord_needs(sheet, sheet->form->chord[bar->first_chord + i].chord, bar->chords == 1);
  }
  return sum;
}
