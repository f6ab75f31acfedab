/* SPDX-License-Identifier: ISC */
#include "plugin/worker/practice.h"

#include "plugin/worker/document.h"
#include "plugin/worker/practice_file.h"
#include "plugin/worker/setting.h"

#include <limits.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

/* ---- notes ---- */

static const double least = 0.045; /* seconds: what is heard for less was none */

static void
note_begin(RlPractice *const p, const RlTakeEvent *const e)
{
  enum { HALF = RL_PRACTICE_NOTES / 2 };
  if (p->count == RL_PRACTICE_NOTES) {
    memmove(p->note, p->note + HALF, HALF * sizeof(p->note[0]));
    p->count = HALF;
  }
  p->note[p->count++] = (RlHeardNote){.at        = e->at,
                                      .ends      = HUGE_VAL,
                                      .tempo     = e->tempo,
                                      .sure      = 1,
                                      .hole      = e->hole,
                                      .technique = e->technique,
                                      .note      = e->bytes[1]};
}

static void
note_end(RlPractice *const p, const RlTakeEvent *const e)
{
  int i = p->count - 1;
  while (i >= 0 && (p->note[i].ends < HUGE_VAL || p->note[i].hole != e->hole ||
                    p->note[i].technique != e->technique)) {
    --i;
  }
  if (i < 0) {
    return;
  }
  p->note[i].ends  = fmax(e->at, p->note[i].at);
  p->note[i].cents = e->cents;
  if ((p->note[i].ends - p->note[i].at) * 60 < least * (double)p->note[i].tempo) {
    memmove(&p->note[i], &p->note[i + 1], (size_t)(p->count - i - 1) * sizeof(p->note[0]));
    --p->count;
  }
}

static void
note_hear(RlPractice *const p, const RlTakeEvent *const e)
{
  if (e->stretch != p->stretch) {
    p->stretch = e->stretch;
    p->count   = 0;
  }
  if (e->bytes[0] >> 4 == 0x9) {
    note_begin(p, e);
  } else {
    note_end(p, e);
  }
}

/* ---- lines ---- */

static void
said(RlDocument *const document, const char *const what, const char *const why)
{
  char   words[RL_PROBLEM_SIZE];
  RlText text = rl_text_in(words, sizeof(words));
  rl_text_add(&text, "practice: ");
  rl_text_add(&text, what);
  rl_text_add(&text, why);
  rl_setting_problem(document, RL_ABOUT_PRACTICE, words);
}

/* `line 3 is damaged and was left out`; of several the first, and how many. */
static void
damage_say(RlDocument *const document, const char *const where, const int first, const int count)
{
  char   words[RL_REASON_SIZE];
  RlText text = rl_text_in(words, sizeof(words));
  rl_text_add(&text, "line ");
  rl_text_add_int(&text, first);
  if (count > 1) {
    rl_text_add(&text, " and ");
    rl_text_add_int(&text, count - 1);
    rl_text_add(&text, count > 2 ? " others" : " other");
  }
  rl_text_add(&text, where);
  rl_text_add(&text, count > 1 ? " are damaged and were left out" : " is damaged and was left out");
  said(document, words, "");
}

/* Appends a line to the text; the oldest make room for it. */
static void
line_add(RlText *const text, const RlSlice line)
{
  while (text->used + line.length + 2 > text->size && text->used) {
    const RlSlice all  = {text->to, text->used};
    const size_t  gone = rl_slice_until(all, "\n") + 1;
    memmove(text->to, text->to + gone, text->used - gone + 1);
    text->used -= gone;
  }
  rl_text_add_slice(text, line);
  rl_text_add(text, "\n");
}

/* Those lines of `from` that can be read and, with a title, are of that song. The first damaged
   one, from 1, 0 if none is; and how many. */
static int
lines_add(RlText *const text, RlSlice from, const char *const title, int *const damaged)
{
  RlPracticeLine l;
  RlSlice        line;
  int            first = 0;
  *damaged             = 0;
  for (int n = 1; rl_practice_line_next(&from, &line); ++n) {
    const bool good = rl_practice_line_read(line, &l);
    if (good && (!title || !strcmp(title, l.title))) {
      line_add(text, line);
    } else if (!good && line.length) {
      first = first ? first : n;
      ++*damaged;
    }
  }
  return first;
}

static void
title_write(const RlForm *const form, RlText *const to)
{
  const RlSlice title = rl_slice_trim(rl_form_text(form, form->title));
  rl_text_add_slice(to, title);
  rl_text_add(to, title.length ? "" : "Untitled");
}

/* The choruses of this song that the file knows of and the session does not come first. */
static void
file_look(RlDocument *const document, const char *const path, const char *const title)
{
  RlSnapshot *const m     = &document->master;
  char *const       bytes = (char *)malloc(RL_PRACTICE_FILE_MOST + sizeof(m->practice));
  char *const       kept  = bytes ? bytes + RL_PRACTICE_FILE_MOST : NULL;
  int               damaged;
  document->practice.read = true;
  if (!bytes) {
    return; /* the next time */
  }
  memcpy(kept, m->practice, sizeof(m->practice));
  RlText    text  = rl_text_in(m->practice, sizeof(m->practice));
  const int first = lines_add(&text, rl_practice_file_read(path, bytes), title, &damaged);
  RlSlice   own   = rl_slice(kept), line;
  while (rl_practice_line_next(&own, &line)) {
    char   found[RL_PRACTICE_LINE_SIZE];
    RlText to = rl_text_in(found, sizeof(found));
    rl_text_add_slice(&to, line);
    if (!strstr(m->practice, found)) {
      line_add(&text, line);
    }
  }
  free(bytes);
  ++m->version[RL_PRACTICE];
  if (damaged) {
    damage_say(document, " of practice.txt", first, damaged);
  }
}

/* ---- a chorus is over ---- */

/* It went well: four chords or more, and landed on two in three. After two such in a row, whole
   ones, one step more is shown. Common practice, no source. */
static void
grow(RlDocument *const document, const RlTakeEvent *const e, const RlTally *const t)
{
  enum { CHORDS = 4, IN_A_ROW = 2 };
  RlPractice *const   p     = &document->practice;
  const RlForm *const form  = &document->master.form;
  const bool          whole = e->at - e->from > form->starts[RL_AXIS_QUARTERS][form->bars] - 0.01;
  const bool          well  = t->targets >= CHORDS && 3 * t->targets_hit >= 2 * t->targets;
  p->well                   = whole && well ? p->well + 1 : 0;
  if (e->grows && p->well >= IN_A_ROW && e->show < RL_SHOW_ALL) {
    document->master.grown = (RlGrown){e->show_set, (uint8_t)(e->show + 1)};
    p->well                = 0;
  }
}

static RlPracticeLine
line_of(const RlDocument *const document, const RlTakeEvent *const e)
{
  const RlSnapshot *const m      = &document->master;
  const double            chorus = m->form.starts[RL_AXIS_QUARTERS][m->form.bars];
  const RlKey             key    = rl_snapshot_key(m, m->hand.song_key);
  const RlTallySong       song   = {&m->form, key, &m->line, &m->lane};
  RlPracticeLine          l      = {.when     = (int64_t)time(NULL),
                                    .chorus   = 1 + (int)floor(e->from / chorus + 1e-9),
                                    .tempo    = (int)lround((double)e->tempo),
                                    .song_key = rl_spelling_class(key.tonic),
                                    .harp     = m->hand.harp.key,
                                    .show     = e->show};
  RlText                  title  = rl_text_in(l.title, sizeof(l.title));
  l.tally = rl_tally_of(&song, e->from, e->at, document->practice.note, document->practice.count);
  title_write(&m->form, &title);
  return l;
}

/* The lines of this song, the oldest left out. */
static int
own_lines(const RlDocument *const document, const int skip, RlText *const text)
{
  char           song[RL_PRACTICE_TITLE_SIZE];
  RlText         title = rl_text_in(song, sizeof(song));
  RlSlice        all   = rl_slice(document->master.practice), line;
  RlPracticeLine l;
  int            count = 0;
  title_write(&document->master.form, &title);
  while (rl_practice_line_next(&all, &line)) {
    if (rl_practice_line_read(line, &l) && !strcmp(l.title, song) && ++count > skip) {
      rl_text_add_slice(text, line);
      rl_text_add(text, "\n");
    }
  }
  return count;
}

bool
rl_practice_tell(const RlDocument *const document, char to[RL_PRACTICE_TOLD_SIZE],
                 RlPracticeLine *const last)
{
  RlText    text  = rl_text_in(to, RL_PRACTICE_TOLD_SIZE);
  RlSlice   all   = rl_slice(document->master.practice), line;
  bool      any   = false;
  const int count = own_lines(document, INT_MAX, &text);
  own_lines(document, count - RL_PRACTICE_TOLD, &text);
  while (rl_practice_line_next(&all, &line)) {
    any = rl_practice_line_read(line, last);
  }
  return any;
}

static void
line_keep(RlDocument *const document, const RlPracticeLine *const l)
{
  RlSnapshot *const m = &document->master;
  char              buffer[RL_PRACTICE_LINE_SIZE], path[RL_PRACTICE_PATH_SIZE];
  RlText            line  = rl_text_in(buffer, sizeof(buffer));
  RlText            where = rl_text_in(path, sizeof(path));
  rl_practice_line_write(l, &line);
  rl_practice_file_path(&where);
  rl_setting_problem(document, RL_ABOUT_PRACTICE, "");
  if (!document->practice.read) {
    file_look(document, path, l->title);
  }
  RlText text = {m->practice, sizeof(m->practice), strlen(m->practice)};
  line_add(&text, (RlSlice){line.to, line.used - 1});
  ++m->version[RL_PRACTICE];
  const char *const why = rl_practice_file_append(path, (RlSlice){line.to, line.used});
  if (why) {
    said(document, path[0] ? path : "practice.txt cannot be written",
         path[0] ? ": cannot be written; the session keeps it" : "");
  }
}

static bool
chorus_end(RlDocument *const document, const RlTakeEvent *const e)
{
  RlPractice *const    p = &document->practice;
  const RlPracticeLine l = line_of(document, e);
  if (e->stretch != p->stretch || !l.tally.notes) {
    p->well = 0;
    return false;
  }
  grow(document, e, &l.tally);
  line_keep(document, &l);
  return true;
}

bool
rl_practice_hear(RlDocument *const document, const RlTakeEvent *const e)
{
  if (e->kind == RL_TAKE_MIDI && e->source == RL_FROM_HARP) {
    note_hear(&document->practice, e);
  }
  return e->kind == RL_TAKE_STRETCH && chorus_end(document, e);
}

void
rl_practice_forget(RlDocument *const document)
{
  document->practice.count = 0;
  document->practice.well  = 0;
  document->practice.read  = false;
  document->master.grown   = (RlGrown){0};
}

void
rl_practice_set(RlDocument *const document, const RlSlice from)
{
  RlSnapshot *const m    = &document->master;
  RlText            text = rl_text_in(m->practice, sizeof(m->practice));
  int               damaged;
  const int         first = lines_add(&text, from, NULL, &damaged);
  ++m->version[RL_PRACTICE];
  if (damaged) {
    damage_say(document, "", first, damaged);
  } else {
    rl_setting_problem(document, RL_ABOUT_PRACTICE, "");
  }
}
