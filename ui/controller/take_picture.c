/* SPDX-License-Identifier: ISC */
#include "ui/controller/take_picture.h"

#include "ui/controller/controller_state.h"

#include "core/phrase/sure.h"
#include "plugin/protocol/lift_ask.h"

#include <math.h>
#include <string.h>

/* A take that was lifted says how sure its notes are. `scratch.lane.phrase` holds it. */
static bool
lifted(const RlController *const c)
{
  uint8_t sure[RL_PHRASE_NOTES_MAX];
  return rl_view_is_take(&c->view, c->view.phrases.selected) && rl_view_corrects(&c->view) &&
         rl_phrase_sure_read(&c->scratch.lane.phrase, sure);
}

static void
ask(RlController *const c, const char *const title)
{
  char   words[RL_LIFT_ASK_MOST + 1];
  RlText text = rl_text_in(words, sizeof(words));
  RlText copy = rl_text_in(c->take_picture.asked, sizeof(c->take_picture.asked));
  rl_text_add(&copy, title);
  c->take_picture.none = false;
  rl_lift_ask_picture(&text, title);
  c->plugin.set_text(c->plugin.data, RL_LIFT, words);
}

void
rl_take_picture_update(RlController *const c)
{
  RlTakePicture *const t  = &c->take_picture;
  c->view.phrases.picture = NULL;
  c->view.phrases.unheard = false;
  if (!lifted(c)) {
    return;
  }
  const char *const title = rl_view_phrase_title(&c->view, c->view.phrases.selected);
  if (t->come && t->come == t->picture.columns && !strcmp(t->picture.title, title)) {
    c->view.phrases.picture = &t->picture;
  } else if (strcmp(t->asked, title) != 0) {
    ask(c, title);
  } else {
    c->view.phrases.unheard = t->none;
  }
}

bool
rl_take_picture_missing(RlController *const c, const char *const problem)
{
  RlTakePicture *const t = &c->take_picture;
  if (strcmp(problem, rl_lift_no_picture) != 0) {
    return false;
  }
  t->none = t->asked[0] != '\0';
  if (c->view.screen == RL_SCREEN_PHRASES) {
    rl_picker_update(c);
    c->redraw.all = true;
  }
  return true;
}

void
rl_take_picture_forget(RlController *const c)
{
  c->take_picture.asked[0] = '\0';
  c->take_picture.come     = 0;
  c->take_picture.none     = false;
  c->view.phrases.picture  = NULL;
}

/* Can it be a part of a picture? */
static bool
possible(const RlViewPicturePart *const p)
{
  return p->rows > 0 && p->rows <= RL_VIEW_PICTURE_ROWS && p->columns > 0 &&
         p->columns <= RL_VIEW_PICTURE_COLUMNS && p->first >= 0 && p->count > 0 &&
         p->count <= p->columns - p->first && p->lowest >= 0 && p->lowest < 128 &&
         isfinite(p->begins) && isfinite(p->ends) && p->ends - p->begins > 1e-3 &&
         fabs(p->begins) < 1e6 && fabs(p->ends) < 1e6;
}

static bool
goes_on(const RlTakePicture *const t, const RlViewPicturePart *const p)
{
  return p->first == t->come && p->rows == t->picture.rows && p->columns == t->picture.columns &&
         !strncmp(p->title, t->picture.title, sizeof(p->title));
}

void
rl_controller_hear_picture(RlController *const c, const RlViewPicturePart *const part)
{
  RlTakePicture *const t = &c->take_picture;
  if (!possible(part) || (part->first && !goes_on(t, part))) {
    return;
  }
  if (!part->first) {
    t->picture = (RlViewPicture){.rows    = part->rows,
                                 .lowest  = part->lowest,
                                 .columns = part->columns,
                                 .begins  = part->begins,
                                 .ends    = part->ends};
    memcpy(t->picture.title, part->title, sizeof(t->picture.title) - 1);
  }
  memcpy(t->picture.cell + part->first * part->rows, part->cell,
         (size_t)part->count * (size_t)part->rows);
  t->come = part->first + part->count;
  if (t->come == t->picture.columns && c->view.screen == RL_SCREEN_PHRASES) {
    rl_picker_update(c);
    c->redraw.all = true;
  }
}
