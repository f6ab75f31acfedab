/* SPDX-License-Identifier: ISC */
#include "plugin/worker/pages.h"

#include <stdlib.h>
#include <string.h>

bool
rl_pages_open(RlPages *const pages)
{
  pages->reserve = (RlSnapshot *)malloc(sizeof(RlSnapshot));
  return pages->reserve;
}

void
rl_pages_close(RlPages *const pages)
{
  free(atomic_exchange(&pages->outbox, NULL));
  free(pages->reserve);
  pages->reserve = NULL;
}

void
rl_pages_return(RlPages *const pages, RlSnapshot *const snapshot)
{
  if (pages->reserve) {
    free(snapshot);
  } else {
    pages->reserve = snapshot;
  }
}

/* The one in reserve, a new one, or one that the audio thread has not looked at. */
static RlSnapshot *
page_get(RlPages *const pages)
{
  RlSnapshot *page = pages->reserve;
  pages->reserve   = NULL;
  page             = page ? page : (RlSnapshot *)malloc(sizeof(RlSnapshot));
  return page ? page : atomic_exchange(&pages->outbox, NULL);
}

void
rl_pages_put(RlPages *const pages, const RlSnapshot *const master)
{
  RlSnapshot *const page = page_get(pages);
  pages->due             = !page;
  if (page) {
    memcpy(page, master, sizeof(*page));
    rl_pages_return(pages, atomic_exchange(&pages->outbox, page));
  }
}
