/* SPDX-License-Identifier: ISC */
#include "ui/page/responses.h"

#include <assert.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* With every response: no guessing of types, no other origin. */
static const char *const headers[][2] = {
  {"X-Content-Type-Options", "nosniff"},
  {"Referrer-Policy", "no-referrer"},
  {"Cross-Origin-Resource-Policy", "same-origin"},
  {"Cross-Origin-Opener-Policy", "same-origin"},
};

/* Content-Security-Policy (W3C CSP 3): only from here, no frame, no form; the style sheet by its
 * hash. */
static const char policy[] =
  "default-src 'none'; script-src 'self' 'wasm-unsafe-eval'; style-src '%s'; font-src 'self'; "
  "connect-src 'self'; img-src 'self'; base-uri 'none'; form-action 'none'; "
  "frame-ancestors 'none'";

struct MHD_Response *
rl_response_complete(struct MHD_Response *const r, const char *const type, const char *const cache)
{
  for (size_t i = 0; r && i < sizeof(headers) / sizeof(headers[0]); ++i) {
    MHD_add_response_header(r, headers[i][0], headers[i][1]);
  }
  if (r) {
    char text[sizeof(policy) + 64];
    snprintf(text, sizeof(text), policy, rl_files_style_hash);
    MHD_add_response_header(r, "Content-Security-Policy", text);
    MHD_add_response_header(r, "Content-Type", type);
    MHD_add_response_header(r, "Cache-Control", cache);
  }
  return r;
}

static const char plain[] = "text/plain; charset=utf-8";

/* Of bytes that stay where they are as long as the program runs. */
static struct MHD_Response *
response_static(const void *const bytes, const size_t size)
{
  const struct MHD_IoVec part = {bytes, size};
  return MHD_create_response_from_iovec(&part, size > 0, NULL, NULL);
}

struct MHD_Response *
rl_response_text(const char *const text)
{
  return rl_response_complete(response_static(text, strlen(text)), plain, "no-store");
}

struct MHD_Response *
rl_response_copy(const char *const text, const size_t length)
{
  char *const copy = (char *)malloc(length + 1);
  if (!copy) {
    return NULL;
  }
  memcpy(copy, text, length);
  struct MHD_Response *const r =
    MHD_create_response_from_buffer(length, copy, MHD_RESPMEM_MUST_FREE);
  if (!r) {
    free(copy);
  }
  return rl_response_complete(r, plain, "no-store");
}

struct MHD_Response *
rl_response_file(const RlFile *const file, const bool body)
{
  struct MHD_Response *const r = rl_response_complete(
    response_static(file->bytes, body ? file->size : 0), file->type, "no-cache");
  if (r) {
    MHD_add_response_header(r, MHD_HTTP_HEADER_ETAG, file->etag);
  }
  return r;
}
