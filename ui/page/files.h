/* SPDX-License-Identifier: ISC */
/* The files of the page, as data inside the program: written by embed.py at build time. Nothing is
   read from a disk at run time. */
#ifndef RL_UI_PAGE_FILES_H
#define RL_UI_PAGE_FILES_H

#include <stddef.h>

typedef struct {
  const char          *path; /**< `/page.js`; `/` for the page itself */
  const char          *type; /**< for Content-Type */
  const char          *etag; /**< with its quotes */
  const unsigned char *bytes;
  size_t               size;
} RlFile;

extern const RlFile rl_files[];
extern const int    rl_files_count;

/** The hash of the style sheet inside the page, as a Content-Security-Policy has it. */
extern const char rl_files_style_hash[];

/** A page that the server makes stands between these; its own style sheet's name. */
extern const char rl_files_plain_head[], rl_files_plain_foot[], rl_files_plain_style_hash[];

#endif
