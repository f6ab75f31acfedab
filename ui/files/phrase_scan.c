/* SPDX-License-Identifier: ISC */
#include "ui/files/phrase_scan.h"

#include <stdlib.h>

static void
scan_drop(void *const data)
{
  RlPhraseScan *const scan = (RlPhraseScan *)data;
  rl_library_free(&scan->library);
  free(scan);
}

static void
scan_work(void *const data, const RlBackground *const background)
{
  RlPhraseScan *const scan = (RlPhraseScan *)data;
  (void)background;
  rl_library_read(&scan->library, scan->folder[0] ? scan->folder : NULL,
                  scan->book[0] ? scan->book : NULL);
}

RlBackground *
rl_phrase_scan_begin(const char *const folder, const char *const book, RlPhraseScan **const scan)
{
  RlPhraseScan *const s          = (RlPhraseScan *)calloc(1, sizeof(RlPhraseScan));
  RlBackground       *background = NULL;
  if (s) {
    RlText to = rl_text_in(s->folder, sizeof(s->folder));
    rl_text_add(&to, folder);
    to = rl_text_in(s->book, sizeof(s->book));
    rl_text_add(&to, book);
    background = rl_file_work_begin(scan_work, scan_drop, s);
  }
  if (!background) {
    free(s);
  }
  *scan = background ? s : NULL;
  return background;
}
