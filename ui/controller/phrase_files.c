/* SPDX-License-Identifier: ISC */
#include "ui/controller/phrase_files.h"

#include "ui/controller/controller_state.h"

#include <stdlib.h>
#include <string.h>

static const double patience = 5; /* seconds until it is said that a folder does not answer */

static const char no_memory[] =
  "not enough memory to change it; close another program and do it again";

/* ---- selection ---- */

/* What the selected phrase is called; empty: none is, or a take. */
static void
selected_title(const RlController *const c, char title[RL_PHRASE_TITLE_SIZE])
{
  const RlView *const v    = &c->view;
  const int           at   = v->phrases.selected;
  RlText              text = rl_text_in(title, RL_PHRASE_TITLE_SIZE);
  if (at >= c->takes.phrase_count && at < rl_view_phrases(v)) {
    rl_text_add(&text, rl_view_phrase_title(v, at));
  }
}

/* The first phrase of the library of that title that is no part of a MIDI file, which would become
   a take; -1: none. */
static int
titled(const RlController *const c, const char *const title)
{
  const RlView *const v     = &c->view;
  const int           count = rl_view_phrases(v);
  int                 at    = c->takes.phrase_count;
  while (at < count &&
         (rl_view_phrase_is_midi(v, at) || strcmp(rl_view_phrase_title(v, at), title) != 0)) {
    ++at;
  }
  return at < count ? at : -1;
}

/* The place in the list at which a phrase stands; -1: it is not listed. */
static int
place_of(const RlView *const v, const int phrase)
{
  const int count = rl_view_listed(v);
  int       at    = 0;
  while (at < count && rl_view_listed_phrase(v, at) != phrase) {
    ++at;
  }
  return at < count ? at : -1;
}

void
rl_phrase_files_show(RlController *const c)
{
  RlView *const v     = &c->view;
  const int     shown = c->redraw.layout.phrases_shown;
  const int     at    = place_of(v, v->phrases.selected);
  if (at >= 0 && (at < v->scroll || at >= v->scroll + shown)) {
    v->scroll = at > shown / 2 ? at - shown / 2 : 0;
  }
}

bool
rl_phrase_files_select(RlController *const c, const char *const title)
{
  const int at = titled(c, title);
  if (at >= 0) {
    c->view.phrases.selected = at;
    rl_phrase_files_show(c);
    rl_picker_update(c);
  }
  return at >= 0;
}

/* The phrase that was selected stays so; else one beside it. */
static void
select_again(RlController *const c, const char *const title)
{
  RlView *const v     = &c->view;
  const int     count = rl_view_phrases(v);
  int          *at    = &v->phrases.selected;
  const bool    same  = *at >= 0 && *at < count &&
                    (rl_view_is_take(v, *at) || !strcmp(rl_view_phrase_title(v, *at), title));
  if (!same) {
    const int other = title[0] ? titled(c, title) : -1;
    *at             = other >= 0 ? other : *at < count ? *at : count - 1;
  }
  while (*at >= 0 && rl_view_phrase_is_midi(v, *at)) {
    --*at;
  }
}

/* The library is another one. */
static void
library_changed(RlController *const c, const char *const title)
{
  c->view.phrases.library = &c->picker.library;
  rl_search_update(c);
  if (c->view.phrases.selected < 0) {
    rl_picker_select_first(c);
  } else {
    select_again(c, title);
  }
  if (c->view.screen == RL_SCREEN_PHRASES) {
    rl_picker_update(c);
  }
  c->redraw.all = true;
}

/* ---- reading ---- */

static void
reading_end(RlController *const c)
{
  rl_background_end(c->phrase_files.reading);
  c->phrase_files.reading = NULL;
  c->phrase_files.scan    = NULL;
  c->view.phrases.reading = RL_READ_ALL;
}

void
rl_phrase_files_read(RlController *const c)
{
  RlPhraseFiles *const f = &c->phrase_files;
  f->stale               = f->reading;
  if (f->reading) {
    return; /* again once that is done */
  }
  f->reading              = rl_phrase_scan_begin(c->picker.folder, c->picker.book, &f->scan);
  f->since                = -1;
  c->view.phrases.reading = f->reading ? RL_READ_GOING_ON : RL_READ_NOT_NOW;
}

static void
library_take(RlController *const c)
{
  char title[RL_PHRASE_TITLE_SIZE];
  selected_title(c, title);
  rl_library_free(&c->picker.library);
  c->picker.library             = c->phrase_files.scan->library;
  c->phrase_files.scan->library = (RlLibrary){0};
  reading_end(c);
  library_changed(c, title);
}

/* ---- what could not be written ---- */

static void
failure_tell(RlController *const c, const RlWriteResult *const result)
{
  const char *const slash = strrchr(result->path, '/');
  RlText            words = rl_text_in(c->notice, sizeof(c->notice));
  rl_file_name_write(slash ? slash + 1 : result->path, &words);
  if (result->kind == RL_WRITE_CHANGED) {
    rl_text_add(&words, " was changed by somebody else since it was read: your change was not "
                        "written. Its phrases are read again; do it again.");
  } else {
    rl_text_add(&words, " was not written: ");
    rl_text_add(&words, result->why);
    rl_text_add(&words, ". Its phrases are read again.");
  }
  rl_undo_forget_file(c, slash ? slash + 1 : result->path);
}

static void
failures_take(RlController *const c)
{
  RlWriteResult result;
  while (c->phrase_files.writer && rl_phrase_writer_failed(c->phrase_files.writer, &result)) {
    failure_tell(c, &result);
    rl_phrase_files_read(c);
    c->redraw.all = true;
  }
}

void
rl_phrase_files_advance(RlController *const c, const double now)
{
  RlPhraseFiles *const f    = &c->phrase_files;
  const bool           busy = f->writer && rl_phrase_writer_busy(f->writer);
  failures_take(c);
  c->view.phrases.writing = busy;
  f->since                = f->reading && f->since < 0 ? now : f->since;
  if (f->reading && rl_background_done(f->reading)) {
    if (!f->stale) {
      library_take(c);
    } else if (!busy) {
      reading_end(c);
      rl_phrase_files_read(c);
    }
  } else if (f->reading && now - f->since > patience &&
             c->view.phrases.reading != RL_READ_NO_ANSWER) {
    c->view.phrases.reading = RL_READ_NO_ANSWER;
    c->redraw.all           = true;
  }
}

void
rl_phrase_files_close(RlController *const c)
{
  reading_end(c);
  rl_phrase_writer_free(c->phrase_files.writer);
  rl_library_free(&c->picker.library);
}

/* ---- writing ---- */

static char *
copy_of(const RlSlice text)
{
  char *const copy = (char *)malloc(text.length + 1);
  if (copy) {
    memcpy(copy, text.at, text.length);
    copy[text.length] = '\0';
  }
  return copy;
}

char *
rl_phrase_files_text(const RlController *const c, const char *const name)
{
  const int file = rl_library_file_find(&c->picker.library, name);
  return file < 0 ? NULL : copy_of(rl_library_file_text(&c->picker.library, file));
}

/* The bytes of a text in a file, to be freed; NULL: no memory, or it cannot hold them, which `why`
   says. */
static char *
bytes_of(const bool latin1, const RlSlice text, size_t *const length, const char **const why)
{
  char *const     bytes = (char *)malloc(text.length + 1);
  const ptrdiff_t count = bytes ? rl_library_file_bytes(latin1, text, bytes) : 0;
  if (!bytes || count < 0) {
    free(bytes);
    *why = count < 0 ? "its file is in Latin-1, which has no such letter; save the file as UTF-8"
                     : no_memory;
    return NULL;
  }
  *length = (size_t)count;
  return bytes;
}

/* Has the writer write it. NULL, or why it cannot be. */
static const char *
hand_over(RlController *const c, const char *const name, const char *const text)
{
  RlLibrary *const     l          = &c->picker.library;
  RlPhraseFiles *const f          = &c->phrase_files;
  const int            file       = rl_library_file_find(l, name);
  const bool           latin1     = file >= 0 && l->file[file].latin1;
  const char          *why        = NULL;
  size_t               was_length = 0, is_length = 0;
  char                 path[RL_PATH_SIZE];
  RlText               to = rl_text_in(path, sizeof(path));
  rl_text_add(&to, c->picker.folder);
  rl_text_add(&to, "/");
  rl_text_add(&to, name);
  f->writer = f->writer ? f->writer : rl_phrase_writer_new();
  char *const was =
    file < 0 ? NULL : bytes_of(latin1, rl_library_file_text(l, file), &was_length, &why);
  char *const is = text && !why ? bytes_of(latin1, rl_slice(text), &is_length, &why) : NULL;
  if (!why && (!f->writer || !rl_phrase_writer_add(f->writer, path, (RlSlice){was, was_length},
                                                   (RlSlice){is, is_length}))) {
    why = no_memory;
  }
  free(was);
  free(is);
  return why;
}

const char *
rl_phrase_files_put(RlController *const c, const char *const name, const char *const text)
{
  char title[RL_PHRASE_TITLE_SIZE];
  selected_title(c, title);
  const size_t length = text ? strlen(text) : 0;
  const char  *why    = !c->picker.folder[0]
                          ? "there is no folder for phrases; set HOME or XDG_DATA_HOME"
                        : length > RL_LIBRARY_FILE_MAX ? "its file would be too long; it may have 4 MiB"
                                                       : hand_over(c, name, text);
  if (why) {
    return why;
  }
  c->phrase_files.stale = c->phrase_files.reading;
  if (!rl_library_file_put(&c->picker.library, name, text)) {
    rl_phrase_files_read(c); /* what was handed over is written all the same */
  }
  library_changed(c, title);
  return NULL;
}
