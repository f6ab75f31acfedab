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

/* Content-Security-Policy (W3C CSP 3): only from here, no frame. Between the two parts stands the
   hash of the style sheet. */
typedef struct {
  const char *before, *after;
} Policy;

static const Policy policy = {
  "default-src 'none'; script-src 'self' 'wasm-unsafe-eval'; style-src '",
  "'; font-src 'self'; connect-src 'self'; img-src 'self'; base-uri 'none'; form-action 'none'; "
  "frame-ancestors 'none'"};
static const Policy plain_policy = {
  "default-src 'none'; style-src '",
  "'; base-uri 'none'; form-action 'self'; frame-ancestors 'none'"};

static struct MHD_Response *
complete(struct MHD_Response *const r, const char *const type, const char *const cache,
         const Policy *const rules, const char *const style)
{
  for (size_t i = 0; r && i < sizeof(headers) / sizeof(headers[0]); ++i) {
    MHD_add_response_header(r, headers[i][0], headers[i][1]);
  }
  if (r) {
    char text[384];
    snprintf(text, sizeof(text), "%s%s%s", rules->before, style, rules->after);
    MHD_add_response_header(r, "Content-Security-Policy", text);
    MHD_add_response_header(r, "Content-Type", type);
    MHD_add_response_header(r, "Cache-Control", cache);
  }
  return r;
}

struct MHD_Response *
rl_response_complete(struct MHD_Response *const r, const char *const type, const char *const cache)
{
  return complete(r, type, cache, &policy, rl_files_style_hash);
}

struct MHD_Response *
rl_response_page(char *const text, const size_t length)
{
  struct MHD_Response *const r =
    text ? MHD_create_response_from_buffer(length, text, MHD_RESPMEM_MUST_FREE) : NULL;
  if (!r) {
    free(text);
  }
  return complete(r, "text/html; charset=utf-8", "no-store", &plain_policy,
                  rl_files_plain_style_hash);
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
