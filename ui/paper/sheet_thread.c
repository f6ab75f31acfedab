/* SPDX-License-Identifier: ISC */
#include "ui/paper/sheet_thread.h"

#include "plugin/thread/thread.h"
#include "ui/paint/paint.h"
#include "ui/paper/documents.h"

#include <assert.h>
#include <stdatomic.h>
#include <stdlib.h>
#include <string.h>

enum { SAID_SIZE = RL_DOCUMENTS_PATH_SIZE + 256 };

struct RlSheetThread {
  pthread_t   thread;
  bool        busy;     /* the thread was begun, and not joined yet: of the window's thread */
  atomic_bool finished; /* set last by the thread; all below is its own until then */

  RlSheet         sheet;
  RlForm          form;
  RlPlan          plan;
  RlLane          lane;
  RlLaneWorkspace workspace;
  RlTargetLine    line;

  RlTargetLineWorkspace scratch;

  char folder[RL_DOCUMENTS_PATH_SIZE];
  char said[SAID_SIZE];
};

RlSheetThread *
rl_sheet_thread_open(void)
{
  return (RlSheetThread *)calloc(1, sizeof(RlSheetThread));
}

void
rl_sheet_thread_close(RlSheetThread *const t)
{
  if (t && t->busy) {
    pthread_join(t->thread, NULL);
  }
  free(t);
}

static void *
thread_run(void *const data)
{
  RlSheetThread *const t    = (RlSheetThread *)data;
  RlText               said = rl_text_in(t->said, sizeof(t->said));
  rl_sheet_aim(&t->sheet, &t->scratch, &t->line);
  rl_documents_keep(t->folder, &t->sheet, &said);
  rl_text_cache_free();
  atomic_store(&t->finished, true);
  return NULL;
}

static void
sheet_copy(RlSheetThread *const t, const RlSheet *const sheet)
{
  t->sheet      = *sheet;
  t->form       = *sheet->form;
  t->sheet.form = &t->form;
  if (sheet->plan) {
    t->plan            = *sheet->plan;
    t->lane            = *sheet->lane;
    t->sheet.plan      = &t->plan;
    t->sheet.lane      = &t->lane;
    t->sheet.workspace = &t->workspace;
  }
}

bool
rl_sheet_thread_begin(void *const thread, const RlSheet *const sheet, RlText *const said)
{
  RlSheetThread *const t = (RlSheetThread *)thread;
  assert(!t->busy);
  if (!rl_documents_folder(t->folder, sizeof(t->folder))) {
    rl_text_add(said, "The lesson sheet has no folder: HOME is not set. Set it.");
    return false;
  }
  sheet_copy(t, sheet);
  t->sheet.size = rl_documents_paper();
  atomic_store(&t->finished, false);
  const int error = rl_thread_create(&t->thread, NULL, thread_run, t);
  if (error) {
    rl_text_add(said, "The lesson sheet cannot be drawn: ");
    rl_text_add(said, strerror(error));
    rl_text_add(said, ". Close another program and press again.");
  }
  t->busy = !error;
  return t->busy;
}

bool
rl_sheet_thread_ready(void *const thread, RlText *const said)
{
  RlSheetThread *const t = (RlSheetThread *)thread;
  if (!t->busy || !atomic_load(&t->finished)) {
    return false;
  }
  pthread_join(t->thread, NULL);
  t->busy = false;
  rl_text_add(said, t->said);
  return true;
}
