/* SPDX-License-Identifier: ISC */
/* The files of the page, inside the program: made by embed.py when it is built. Nothing is read
   from a disk while it runs. */
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

/** The style sheet inside the page, as a Content-Security-Policy names it. */
extern const char rl_files_style[];

#endif
