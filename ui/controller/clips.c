/* SPDX-License-Identifier: ISC */
#include "ui/controller/clips.h"

#include "ui/controller/controller_state.h"
#include "ui/controller/takes.h"

#include <string.h>

void
rl_clips_select(RlController *const c, const int index)
{
  RlClips *const               k     = &c->clips;
  const RlLibraryPhrase *const p     = &c->picker.library.phrase[index];
  RlText                       words = rl_text_in(c->editing.error, sizeof(c->editing.error));
  if (!k->lifting && !strcmp(k->failed, p->title)) {
    return;
  }
  if (!k->lifting) {
    const char *const name = rl_library_file_name(&c->picker.library, p->file);
    k->failed[0]           = '\0';
    k->lifting             = rl_clip_lift_begin(c->picker.folder, name, p->title, &k->lift);
    rl_text_add(&words, k->lifting ? "" : "not enough memory to hear it; close another program");
  }
  if (k->lifting) {
    RlText notice = rl_text_in(c->notice, sizeof(c->notice));
    rl_text_add(&notice, k->lift->title);
    rl_text_add(&notice, " is being heard; it becomes a take.");
    c->redraw.all = true;
  }
}

void
rl_clips_forget(RlController *const c)
{
  c->clips.failed[0] = '\0';
}

void
rl_clips_advance(RlController *const c)
{
  RlClips *const k = &c->clips;
  if (!k->lifting || !rl_background_done(k->lifting)) {
    return;
  }
  RlText notice = rl_text_in(c->notice, sizeof(c->notice));
  if (k->lift->good) {
    rl_takes_add_phrase(c, &k->lift->notated.phrase, 1);
  } else {
    rl_text_add(&notice, k->lift->why);
  }
  memcpy(k->failed, k->lift->title, sizeof(k->failed));
  rl_background_end(k->lifting);
  k->lifting    = NULL;
  k->lift       = NULL;
  c->redraw.all = true;
}

void
rl_clips_close(RlController *const c)
{
  rl_background_end(c->clips.lifting);
  c->clips.lifting = NULL;
}
