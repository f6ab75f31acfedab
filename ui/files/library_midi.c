/* SPDX-License-Identifier: ISC */
/* Parts of MIDI files as phrases. */
#include "ui/files/library_build.h"

#include "core/phrase/title.h"

#include <stdlib.h>
#include <string.h>

void
rl_library_name_title(const char *const file, char title[RL_PHRASE_TITLE_SIZE])
{
  const char *const dot  = strrchr(file, '.');
  RlText            text = rl_text_in(title, RL_PHRASE_TITLE_SIZE);
  rl_title_write(rl_slice_trim((RlSlice){file, (size_t)(dot - file)}), "recording", &text);
}

/* The parts of a file, and what they are called. */
typedef struct {
  RlSmfPart part[RL_SMF_PARTS_MAX];
  char      title[RL_SMF_PARTS_MAX][RL_PHRASE_TITLE_SIZE];
  int       count;
} Parts;

/* The file's name without its extension; for one of several parts, with its track's name or
   channel, and with `numbers` with its track and channel. These are never cut. */
static void
part_title(const char *const file, const RlSmfPart *const part, const bool alone,
           const bool numbers, RlText *const text)
{
  const char *const dot   = strrchr(file, '.');
  const bool        named = !alone && part->name.length > 0;
  char              end[sizeof(" track 128 channel 16")];
  RlText            last = rl_text_in(end, sizeof(end));
  if (numbers) {
    rl_text_add(&last, named ? " track " : "track ");
    rl_text_add_int(&last, part->track + 1);
    rl_text_add(&last, " ");
  }
  if (!alone && (numbers || !named)) {
    rl_text_add(&last, "channel ");
    rl_text_add_int(&last, part->channel + 1);
  }
  RlText first = rl_text_in(text->to, text->size - last.used - (alone || named ? 0 : 3));
  rl_title_write(rl_slice_trim((RlSlice){file, (size_t)(dot - file)}), "MIDI", &first);
  if (named) {
    rl_text_add(&first, " - ");
    rl_title_write(rl_slice_trim(part->name), "MIDI", &first);
  }
  text->used = first.used;
  rl_text_add(text, alone || named ? "" : " - ");
  rl_text_add(text, end);
}

/* Parts that would have one title are told apart by track and channel. */
static void
titles_write(const char *const file, Parts *const parts)
{
  bool numbers[RL_SMF_PARTS_MAX] = {false};
  for (int pass = 0; pass < 2; ++pass) {
    for (int i = 0; i < parts->count; ++i) {
      RlText title = rl_text_in(parts->title[i], sizeof(parts->title[i]));
      part_title(file, &parts->part[i], parts->count == 1, numbers[i], &title);
    }
    for (int i = 0; i < parts->count; ++i) {
      for (int k = 0; k < parts->count; ++k) {
        numbers[i] = numbers[i] || (i != k && !strcmp(parts->title[i], parts->title[k]));
      }
    }
  }
}

static void
parts_judge(RlLibrary *const l, const char *const file, const int count,
            const RlSmfError *const error)
{
  char   why[160];
  RlText text = rl_text_in(why, sizeof(why));
  if (count < 0) {
    rl_smf_error_write(error, &text);
  } else if (!count) {
    rl_text_add(&text, "no notes in it");
  } else if (count > RL_SMF_PARTS_MAX) {
    rl_text_add_int(&text, count);
    rl_text_add(&text, " parts; the last ");
    rl_text_add_int(&text, count - RL_SMF_PARTS_MAX);
    rl_text_add(&text, " are left out; export fewer to one file");
  }
  if (text.used) {
    rl_library_problem(l, file, why);
  }
}

void
rl_library_parts_add(RlLibrary *const l, const char *const file, const RlSlice bytes)
{
  Parts      parts;
  RlSmfError error;
  const int  count = rl_smf_parts(bytes, parts.part, &error);
  parts.count      = count < RL_SMF_PARTS_MAX ? count : RL_SMF_PARTS_MAX;
  parts_judge(l, file, count, &error);
  titles_write(file, &parts);
  for (int i = 0; i < parts.count; ++i) {
    RlLibraryPhrase *const p = rl_library_phrase_new(l, file);
    if (!p) {
      return;
    }
    memcpy(p->title, parts.title[i], sizeof(p->title));
    p->at      = (uint32_t)(bytes.at - l->text);
    p->length  = (uint32_t)bytes.length;
    p->own     = true;
    p->midi    = true;
    p->clip    = false;
    p->track   = parts.part[i].track;
    p->channel = parts.part[i].channel;
    ++l->count;
  }
}

bool
rl_library_midi(const RlLibrary *const l, const int index, const RlForm *const form,
                const RlKey key, RlPhrase *const phrase, int *const bar, RlText *const why)
{
  const RlLibraryPhrase *const p     = &l->phrase[index];
  RlSmfWorkspace *const        work  = (RlSmfWorkspace *)malloc(sizeof(RlSmfWorkspace));
  RlSmfError                   error = {0, "not enough memory; close another program"};
  const RlSmfPart              part  = {p->track, p->channel, {"", 0}};
  const bool good = work && rl_smf_phrase(rl_library_tune(l, index), part, form, key, work, &error);
  if (good) {
    rl_notated_fields(&work->take, &work->notated);
    *phrase = work->notated.phrase;
    *bar    = work->notated.bar;
    memcpy(phrase->title, p->title, sizeof(phrase->title));
  } else {
    rl_text_add(why, p->title);
    rl_text_add(why, ": ");
    rl_smf_error_write(&error, why);
  }
  free(work);
  return good;
}
