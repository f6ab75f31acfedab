/* SPDX-License-Identifier: ISC */
#include "core/phrase/note_edit.h"

#include <assert.h>

/* ---- as the table calls them; false: it cannot be done ---- */

static bool
shift(RlPhrase *const p, int *const onset, const int by)
{
  return rl_phrase_onset_shift(p, *onset, by);
}

static bool
step(RlPhrase *const p, int *const onset, const int by)
{
  return rl_phrase_onset_step(p, *onset, by);
}

static bool
stretch(RlPhrase *const p, int *const onset, const int by)
{
  return rl_phrase_onset_stretch(p, *onset, by);
}

static bool
insert(RlPhrase *const p, int *const onset, const int by)
{
  const int added = rl_phrase_onset_insert(p, *onset);
  (void)by;
  *onset = added < 0 ? *onset : added;
  return added >= 0;
}

static bool
take_out(RlPhrase *const p, int *const onset, const int by)
{
  const bool done = rl_phrase_onset_remove(p, *onset);
  (void)by;
  *onset -= done && *onset > 0;
  return done;
}

static bool
split(RlPhrase *const p, int *const onset, const int by)
{
  (void)by;
  return rl_phrase_onset_split(p, *onset);
}

static bool
join(RlPhrase *const p, int *const onset, const int by)
{
  (void)by;
  return rl_phrase_onset_join(p, *onset);
}

static bool
mark(RlPhrase *const p, int *const onset, const int how)
{
  rl_phrase_onset_mark(p, *onset, (RlArticulation)how);
  return true;
}

static bool
accept(RlPhrase *const p, int *const onset, const int by)
{
  const bool done = rl_phrase_onset_accept(p, *onset);
  const int  next = rl_phrase_onset_unsure(p, *onset);
  (void)by;
  *onset = done && next >= 0 ? next : *onset;
  return done;
}

/* ---- the table ---- */

static const char no_place[] = "there is no room for it there; move the notes beside it first";
static const char no_pitch[] = "there is no note beyond it";

static const struct {
  const char *name;
  bool (*run)(RlPhrase *phrase, int *onset, int by);
  int         by;
  const char *wrong;
} edits[RL_NOTE_EDITS] = {
  [RL_NOTE_EARLIER] = {"earlier", shift, -1, no_place},
  [RL_NOTE_LATER]   = {"later", shift, 1, no_place},
  [RL_NOTE_LOWER]   = {"lower", step, -1, no_pitch},
  [RL_NOTE_HIGHER]  = {"higher", step, 1, no_pitch},
  [RL_NOTE_SHORTER] = {"shorter", stretch, -1, "it cannot be shorter; delete it instead"},
  [RL_NOTE_LONGER]  = {"longer", stretch, 1,
                       "the next note begins there, or the phrase ends; move that note first"},
  [RL_NOTE_INSERT]  = {"insert", insert, 0, "there is no room for a note; make this one longer"},
  [RL_NOTE_REMOVE]  = {"delete note", take_out, 0,
                       "a phrase needs a note; delete or discard all of it instead"},
  [RL_NOTE_SPLIT]   = {"split", split, 0, "it is too short to be split; make it longer first"},
  [RL_NOTE_JOIN]    = {"join next", join, 0, "no note follows that it could be joined with"},
  [RL_NOTE_SCOOP]   = {"scoop", mark, RL_ARTICULATION_SCOOP, ""},
  [RL_NOTE_FALL]    = {"fall", mark, RL_ARTICULATION_FALL, ""},
  [RL_NOTE_ACCEPT]  = {"it is right", accept, 0, "nothing says that it might be wrong"},
};

const char *
rl_note_edit_name(const RlNoteEdit edit)
{
  assert(edit >= 0 && edit < RL_NOTE_EDITS);
  return edits[edit].name;
}

const char *
rl_note_edit(RlPhrase *const phrase, const RlNoteEdit edit, int *const onset)
{
  assert(edit >= 0 && edit < RL_NOTE_EDITS);
  assert(*onset >= 0 && *onset < rl_phrase_onsets(phrase));
  return edits[edit].run(phrase, onset, edits[edit].by) ? NULL : edits[edit].wrong;
}
