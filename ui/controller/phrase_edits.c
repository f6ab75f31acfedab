/* SPDX-License-Identifier: ISC */
#include "ui/controller/phrase_edits.h"

#include "ui/controller/controller_state.h"
#include "ui/controller/naming.h"
#include "ui/controller/takes.h"

#include "core/abc/tune_edit.h"
#include "core/phrase/note_edit.h"

#include <stdlib.h>
#include <string.h>

enum { REMARK_MAX = 200, FEEL_MAX = 60 /* bytes */ };

static const char no_memory[] =
  "not enough memory to change it; close another program and do it again";

/* Memory to work in. */
typedef struct {
  RlAbcEditWorkspace abc;
  RlPhrase           phrase;
  char               tune[RL_ABC_MAX], copy[RL_ABC_MAX];
} Workspace;

/* The selected phrase of the library; NULL: none is, or a take, or a part of a MIDI file. */
static const RlLibraryPhrase *
selected(const RlController *const c)
{
  const int at = c->view.phrases.selected - c->takes.phrase_count;
  return at >= 0 && at < c->picker.library.count && !c->picker.library.phrase[at].midi
           ? &c->picker.library.phrase[at]
           : NULL;
}

/* Its tune as it stands in its file. */
static RlSlice
tune_of(const RlController *const c, const RlLibraryPhrase *const p)
{
  const RlSlice text = rl_library_file_text(&c->picker.library, p->file);
  return (RlSlice){text.at + p->from, p->size};
}

/* ---- files ---- */

/* A file gets another text (NULL: it goes), as a step of undo. */
static bool
file_put(RlController *const c, const char *const name, const char *const was, const char *const is)
{
  const char *const why = rl_phrase_files_put(c, name, is);
  rl_editing_error(c, why ? why : "");
  if (!why) {
    rl_undo_note_file(c, name, was, is);
  }
  return !why;
}

/* Is there nothing in it but blank lines and comments? */
static bool
empty(RlSlice text)
{
  while (text.length) {
    const size_t  to   = rl_slice_until(text, "\n");
    const RlSlice line = rl_slice_trim((RlSlice){text.at, to});
    if (line.length && line.at[0] != '%') {
      return false;
    }
    text = rl_slice_after(text, to + 1);
  }
  return true;
}

/* Bytes of the end of a tune's last line and of a blank line behind it. */
static size_t
gap_behind(const char *const text)
{
  const size_t end   = text[0] == '\n';
  const size_t blank = rl_slice_until(rl_slice(text + end), "\n");
  const bool   gap   = text[end + blank] && !rl_slice_trim((RlSlice){text + end, blank}).length;
  return end + (gap ? blank + 1 : 0);
}

/* The file of a phrase with another tune in its place; without one the phrase goes, with the blank
   line behind it, and a file with nothing left in it. */
static bool
tune_put(RlController *const c, const RlLibraryPhrase *const p, const RlSlice tune)
{
  char       name[RL_PATH_SIZE];
  RlText     to = rl_text_in(name, sizeof(name));
  const bool go = !tune.length;
  rl_text_add(&to, rl_library_file_name(&c->picker.library, p->file));
  char *const  was    = rl_phrase_files_text(c, name);
  const size_t length = c->picker.library.file[p->file].length;
  const size_t end    = p->from + p->size;
  char *const  is     = was ? (char *)malloc(length + tune.length + 1) : NULL;
  RlText       out    = rl_text_in(is ? is : name, is ? length + tune.length + 1 : 1);
  bool         done   = false;
  if (!is) {
    rl_editing_error(c, no_memory);
  } else if (strlen(was) != length) {
    rl_editing_error(c, "its file holds a byte that is no text; open it in a text editor");
  } else {
    rl_text_add_slice(&out, (RlSlice){was, p->from});
    rl_text_add_slice(&out, tune);
    rl_text_add(&out, was + end + (go ? gap_behind(was + end) : 0));
    done = file_put(c, name, was, go && empty(rl_slice(is)) ? NULL : is);
  }
  free(was);
  free(is);
  return done;
}

/* A new file with that tune under a title that no other phrase has; it is selected. */
static bool
copy_put(RlController *const c, const RlSlice tune, char title[RL_PHRASE_TITLE_SIZE],
         Workspace *const w)
{
  char   name[RL_PHRASE_TITLE_SIZE + 16];
  RlText file = rl_text_in(name, sizeof(name));
  RlText text = rl_text_in(w->copy, sizeof(w->copy));
  rl_library_title_free(&c->picker.library, title);
  rl_library_file_new_name(&c->picker.library, title, &file);
  rl_text_add(&text, "%abc-2.1\n");
  rl_abc_field_set(tune, 'T', rl_slice(title), &text);
  rl_text_add(&text, text.used && w->copy[text.used - 1] == '\n' ? "" : "\n");
  if (text.used + 4 > text.size) {
    rl_editing_error(c, "too long for a copy; a tune may have 64 KiB");
    return false;
  }
  rl_search_set(c, "");
  return file_put(c, name, NULL, w->copy) && rl_phrase_files_select(c, title);
}

/* A tune in place of that of the selected phrase; of one that comes along in a copy. */
static bool
tune_change(RlController *const c, const RlLibraryPhrase *const p, const RlSlice tune,
            Workspace *const w)
{
  char title[RL_PHRASE_TITLE_SIZE];
  memcpy(title, p->title, sizeof(title));
  if (p->own) {
    const bool done = tune_put(c, p, tune);
    rl_picker_update(c);
    return done;
  }
  return copy_put(c, tune, title, w);
}

/* ---- fields and tags ---- */

static bool
field_change(RlController *const c, const RlLibraryPhrase *const p, const char name,
             const RlSlice value, Workspace *const w)
{
  RlText out = rl_text_in(w->tune, sizeof(w->tune));
  rl_abc_field_set(tune_of(c, p), name, value, &out);
  return tune_change(c, p, (RlSlice){w->tune, out.used}, w);
}

static void
tags_change(RlController *const c, const RlLibraryPhrase *const p, const RlActionKind kind,
            Workspace *const w)
{
  RlText        out  = rl_text_in(w->tune, sizeof(w->tune));
  const RlSlice tune = tune_of(c, p);
  RlAbcTags     tags = rl_abc_tags(tune);
  if (kind == RL_ACTION_PHRASE_OVER) {
    tags.over = (uint8_t)((tags.over + 1) % RL_ABC_OVERS);
  } else {
    tags.hard = (uint8_t)((tags.hard + 1) % 4);
  }
  rl_abc_tags_set(tune, tags, &out);
  tune_change(c, p, (RlSlice){w->tune, out.used}, w);
}

bool
rl_phrase_edits_title(RlController *const c, const char *const title)
{
  Workspace *const             w = (Workspace *)malloc(sizeof(Workspace));
  const RlLibraryPhrase *const p = selected(c);
  char                         name[RL_PHRASE_TITLE_SIZE];
  RlText                       to   = rl_text_in(name, sizeof(name));
  bool                         done = false;
  rl_text_add(&to, title);
  if (!w) {
    rl_editing_error(c, no_memory);
  } else if (p && p->own) {
    done = field_change(c, p, 'T', rl_slice(name), w) && rl_phrase_files_select(c, name);
  } else if (p) {
    done = copy_put(c, tune_of(c, p), name, w);
  }
  free(w);
  return done;
}

bool
rl_phrase_edits_add(RlController *const c, RlPhrase *const phrase)
{
  Workspace *const w    = (Workspace *)malloc(sizeof(Workspace));
  RlText           text = rl_text_in(w ? w->tune : c->scratch.text, w ? sizeof(w->tune) : 1);
  const bool       done = w && copy_put(c, rl_abc_tune(phrase, &text), phrase->title, w);
  if (!w) {
    rl_editing_error(c, no_memory);
  }
  free(w);
  return done;
}

/* ---- what is typed ---- */

static char
field_of(const RlEdit edit)
{
  return edit == RL_EDIT_FEEL ? 'R' : 'N';
}

void
rl_phrase_edits_type(RlController *const c, const RlAction action)
{
  const RlLibraryPhrase *const p    = selected(c);
  const RlEdit                 edit = action.kind == RL_ACTION_PHRASE_TITLE  ? RL_EDIT_TITLE
                                      : action.kind == RL_ACTION_PHRASE_FEEL ? RL_EDIT_FEEL
                                                                             : RL_EDIT_REMARK;
  char                         words[RL_PHRASE_FIELDS_SIZE];
  RlText                       text   = rl_text_in(words, sizeof(words));
  const int                    scroll = c->view.scroll;
  if (p) {
    rl_text_add_slice(&text, edit == RL_EDIT_TITLE
                               ? rl_slice(p->title)
                               : rl_abc_field_value(tune_of(c, p), field_of(edit)));
    c->view.phrases.just_kept = false;
    rl_editing_open_words(c, edit, words);
    c->view.scroll = scroll;
    rl_phrase_files_show(c);
  }
}

/* Why it cannot be kept; NULL: it can. */
static const char *
typed_wrong(const RlEdit edit, const RlSlice typed)
{
  char   words[RL_PHRASE_FIELDS_SIZE];
  RlText text = rl_text_in(words, sizeof(words));
  rl_text_add_slice(&text, typed);
  return strpbrk(words, "%\\") ? "it cannot have % or \\; write it in words"
         : edit == RL_EDIT_REMARK && typed.length > REMARK_MAX
           ? "too long; a remark has up to 200 bytes"
         : edit == RL_EDIT_FEEL && typed.length > FEEL_MAX ? "too long; a feel has up to 60 bytes"
                                                           : NULL;
}

bool
rl_phrase_edits_keep(RlController *const c)
{
  const RlEdit                 edit   = c->view.edit.kind;
  const RlSlice                typed  = rl_slice_trim(rl_slice(c->editing.input.text));
  const char *const            wrong  = typed_wrong(edit, typed);
  const RlLibraryPhrase *const p      = selected(c);
  const int                    scroll = c->view.scroll;
  Workspace *const             w      = p && !wrong ? (Workspace *)malloc(sizeof(Workspace)) : NULL;
  if (wrong || (p && !w)) {
    rl_editing_error(c, wrong ? wrong : no_memory);
    return false;
  }
  const RlSlice was = p ? rl_abc_field_value(tune_of(c, p), field_of(edit)) : typed;
  const bool    same =
    was.length == typed.length && (!was.length || !memcmp(was.at, typed.at, was.length));
  const bool done = same || field_change(c, p, field_of(edit), typed, w);
  free(w);
  if (done) {
    rl_editing_end(c);
    c->view.scroll = scroll;
  }
  return done;
}

/* ---- notes ---- */

static void
copied_tell(RlController *const c, const char *const title, const char *const copy)
{
  RlText text = rl_text_in(c->notice, sizeof(c->notice));
  rl_text_add(&text, title);
  rl_text_add(&text, " holds what the copy cannot (ornaments, comments or the like) and stays as "
                     "it is; ");
  rl_text_add(&text, copy);
  rl_text_add(&text, " is changed in its place.");
}

/* Writes changed notes of a phrase of the library. */
static void
notes_put(RlController *const c, const RlLibraryPhrase *const p, Workspace *const w)
{
  RlText out = rl_text_in(w->tune, sizeof(w->tune));
  if (rl_abc_notes_set(tune_of(c, p), &w->phrase, &w->abc, &out)) {
    tune_change(c, p, (RlSlice){w->tune, out.used}, w);
  } else {
    char       title[RL_PHRASE_TITLE_SIZE];
    const bool own = p->own;
    memcpy(title, p->title, sizeof(title));
    if (rl_phrase_edits_add(c, &w->phrase) && own) {
      copied_tell(c, title, w->phrase.title);
    }
  }
}

/* The selected phrase as it will be once what was done to it before has arrived. */
static bool
notes_read(RlController *const c, RlPhrase *const phrase)
{
  const int  at = c->view.phrases.selected;
  RlAbcError error;
  return rl_view_is_take(&c->view, at)
           ? rl_takes_read(c, phrase)
           : selected(c) && rl_abc_read(rl_view_phrase_tune(&c->view, at), phrase, &error);
}

static void
notes_change(RlController *const c, const RlNoteEdit edit, int note, Workspace *const w)
{
  const char *const why = rl_note_edit(&w->phrase, edit, &note);
  rl_editing_error(c, why ? why : "");
  if (why) {
    return;
  }
  if (rl_view_is_take(&c->view, c->view.phrases.selected)) {
    rl_takes_write(c, &w->phrase);
  } else {
    notes_put(c, selected(c), w);
  }
  c->picker.note = note;
  rl_picker_update(c);
}

void
rl_phrase_edits_note(RlController *const c, const RlAction action)
{
  Workspace *const w    = (Workspace *)malloc(sizeof(Workspace));
  int *const       note = &c->picker.note;
  rl_editing_error(c, w ? "" : no_memory);
  if (w && notes_read(c, &w->phrase)) { /* else its error is shown already */
    const int onsets = rl_phrase_onsets(&w->phrase);
    const int now    = *note < onsets ? *note : onsets - 1;
    const int unsure = rl_phrase_onset_unsure(&w->phrase, now);
    if (action.kind == RL_ACTION_NOTE_EDIT) {
      notes_change(c, (RlNoteEdit)action.value, now, w);
    } else if (action.kind == RL_ACTION_NOTE_UNSURE && unsure < 0) {
      rl_editing_error(c, "no note of it is marked with ?");
    } else {
      *note = action.kind == RL_ACTION_NOTE_UNSURE ? unsure
              : action.kind == RL_ACTION_NOTE_PICK ? action.value
                                                   : (now + action.value + onsets) % onsets;
      rl_picker_update(c);
    }
  }
  free(w);
}

/* ---- the whole phrase ---- */

static void
phrase_delete(RlController *const c, const RlLibraryPhrase *const p)
{
  char title[RL_PHRASE_TITLE_SIZE];
  memcpy(title, p->title, sizeof(title));
  if (!p->own) {
    rl_editing_error(c, "it comes along with Reedlamp and stays; your own can be deleted");
  } else if (tune_put(c, p, (RlSlice){NULL, 0})) {
    RlText text = rl_text_in(c->notice, sizeof(c->notice));
    rl_text_add(&text, title);
    rl_text_add(&text, " is deleted. undo brings it back.");
  }
}

static void
phrase_copy(RlController *const c, const RlLibraryPhrase *const p, Workspace *const w)
{
  char title[RL_PHRASE_TITLE_SIZE];
  memcpy(title, p->title, sizeof(title));
  copy_put(c, tune_of(c, p), title, w);
}

void
rl_phrase_edits_do(RlController *const c, const RlAction action)
{
  const RlLibraryPhrase *const p = selected(c);
  Workspace *const             w = p ? (Workspace *)malloc(sizeof(Workspace)) : NULL;
  if (p) {
    rl_editing_error(c, w ? "" : no_memory);
  }
  if (!w) {
    return;
  }
  switch (action.kind) {
  case RL_ACTION_PHRASE_COPY:
    phrase_copy(c, p, w);
    break;
  case RL_ACTION_PHRASE_DELETE:
    phrase_delete(c, p);
    break;
  default:
    tags_change(c, p, action.kind, w);
    break;
  }
  free(w);
}
