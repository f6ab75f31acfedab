/* SPDX-License-Identifier: ISC */
/* HTTP responses with the headers that each of ours has. All return NULL without memory; free them
   with MHD_destroy_response(). One thread. */
#ifndef RL_UI_PAGE_RESPONSES_H
#define RL_UI_PAGE_RESPONSES_H

#include "ui/page/files.h"

#include <microhttpd.h>
#include <stdbool.h>

/** Adds the headers that every response has, its type, and `cache` as Cache-Control. Takes and
    returns NULL as well. */
struct MHD_Response *rl_response_complete(struct MHD_Response *response, const char *type,
                                          const char *cache);

/** Of a page of door.h, which it frees. Takes NULL as well. */
struct MHD_Response *rl_response_page(char *text, size_t length);

/** Of a text that lasts as long as the program. */
struct MHD_Response *rl_response_text(const char *text);

/** Of a copy of a text. */
struct MHD_Response *rl_response_copy(const char *text, size_t length);

/** Of a file of the page with its ETag; without its bytes unless `body` (then for a 304). */
struct MHD_Response *rl_response_file(const RlFile *file, bool body);

#endif
