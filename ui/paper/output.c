/* SPDX-License-Identifier: ISC */
#include "ui/paper/output.h"

#include "ui/files/output_place.h"
#include "ui/paper/atomic_file.h"
#include "ui/paper/pdf.h"

#include <assert.h>
#include <cairo-svg.h>
#include <errno.h>
#include <math.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

enum { SUFFIX_SIZE = 16 /* bytes that a page number adds to a name */ };

/* A file to write. */
typedef struct {
  RlBytes bytes;
  char   *path, *temporary; /* where it belongs, and where it is written first */
} File;

/* ---- drawing ---- */

/* One page as SVG or PNG. */
static cairo_status_t
page_draw(const RlSheetFormat format, const RlSheet *const sheet, RlTextCache *const type,
          const int page, RlBytes *const bytes)
{
  const RlRect           area  = rl_paper_rect(sheet->size);
  const bool             svg   = format == RL_SHEET_SVG;
  const double           scale = svg ? 1 : RL_SHEET_DPI / 72.0;
  cairo_surface_t *const on =
    svg ? cairo_svg_surface_create_for_stream(rl_bytes_add, bytes, area.w, area.h)
        : cairo_image_surface_create(CAIRO_FORMAT_RGB24, (int)lround(area.w * scale),
                                     (int)lround(area.h * scale));
  cairo_status_t status = rl_sheet_render(on, scale, sheet, page, page + 1, type);
  if (!svg && status == CAIRO_STATUS_SUCCESS) {
    status = cairo_surface_write_to_png_stream(on, rl_bytes_add, bytes);
  }
  cairo_surface_finish(on);
  status = status == CAIRO_STATUS_SUCCESS ? cairo_surface_status(on) : status;
  cairo_surface_destroy(on);
  return status;
}

/* ---- writing ---- */

static RlSheetStatus
unwritten(const char *const path, const char *const why)
{
  return rl_sheet_complain(RL_SHEET_NOT_WRITTEN, strcmp(path, "-") != 0 ? path : "standard output",
                           why);
}

/* `sheet.svg` as it is, or `sheet-2.svg`. Free it. */
static char *
path_of(const char *const path, const int number)
{
  const char *const slash = strrchr(path, '/');
  const char *const dot   = strrchr(path, '.');
  const int         stem =
    (int)(dot && (!slash || dot > slash + 1) && dot > path ? (size_t)(dot - path) : strlen(path));
  const size_t size = strlen(path) + SUFFIX_SIZE;
  char *const  text = (char *)malloc(size);
  if (text && number) {
    snprintf(text, size, "%.*s-%d%s", stem, path, number, path + stem);
  } else if (text) {
    snprintf(text, size, "%s", path);
  }
  return text;
}

/* Writes the whole file under a temporary name in the folder of its place, or of what a link there
   leads to, with the mode of the file that it will replace. NULL, or why not. */
static const char *
temporary_write(File *const f)
{
  char *const leads_to = realpath(f->path, NULL);
  if (leads_to) {
    free(f->path);
    f->path = leads_to;
  }
  struct stat       is;
  const bool        there = stat(f->path, &is) == 0;
  const char *const why   = there ? rl_output_place_wrong(f->path, &is) : NULL;
  const char *const wrong = why ? why : rl_atomic_file_write(f->path, &f->bytes, &f->temporary);
  return !wrong && there && chmod(f->temporary, is.st_mode & 07777) != 0 ? strerror(errno) : wrong;
}

/* All files, or none of them. */
static RlSheetStatus
files_keep(File *const files, const int count)
{
  RlSheetStatus status = RL_SHEET_OK;
  for (int i = 0; i < count && status == RL_SHEET_OK; ++i) {
    const char *const why = temporary_write(&files[i]);
    status                = why ? unwritten(files[i].path, why) : status;
  }
  for (int i = 0; i < count && status == RL_SHEET_OK; ++i) {
    if (rename(files[i].temporary, files[i].path) != 0) {
      status = unwritten(files[i].path, strerror(errno));
    } else {
      free(files[i].temporary);
      files[i].temporary = NULL;
    }
  }
  for (int i = 0; i < count; ++i) {
    if (files[i].temporary) {
      unlink(files[i].temporary);
      free(files[i].temporary);
    }
  }
  return status;
}

/* With signals blocked: an interruption in the middle would leave temporary files behind. */
static RlSheetStatus
files_write(File *const files, const int count)
{
  sigset_t ends, before;
  sigemptyset(&ends);
  sigaddset(&ends, SIGINT);
  sigaddset(&ends, SIGTERM);
  sigaddset(&ends, SIGHUP);
  sigprocmask(SIG_BLOCK, &ends, &before);
  const RlSheetStatus status = files_keep(files, count);
  sigprocmask(SIG_SETMASK, &before, NULL);
  for (int i = 0; i < count && count > 1 && status == RL_SHEET_OK; ++i) {
    printf("page %d of %d: %s\n", i + 1, count, files[i].path);
  }
  return status;
}

static RlSheetStatus
pages_write(const RlSheetOptions *const options, const RlSheet *const sheet, File *const files,
            const int count)
{
  const bool         to_stdout = !strcmp(options->output, "-");
  RlTextCache *const type      = rl_text_cache();
  for (int i = 0; i < count; ++i) {
    RlBytes *const       bytes  = &files[i].bytes;
    const cairo_status_t status = !type ? CAIRO_STATUS_NO_MEMORY
                                  : options->format == RL_SHEET_PDF
                                    ? rl_sheet_pdf(sheet, type, bytes)
                                    : page_draw(options->format, sheet, type, i, bytes);
    files[i].path               = path_of(options->output, count > 1 ? i + 1 : 0);
    if (status != CAIRO_STATUS_SUCCESS || !files[i].path) {
      return unwritten(options->output,
                       files[i].path ? cairo_status_to_string(status) : "not enough memory");
    }
  }
  if (to_stdout) {
    return rl_bytes_write(STDOUT_FILENO, &files[0].bytes)
             ? RL_SHEET_OK
             : unwritten(options->output, strerror(errno));
  }
  return files_write(files, count);
}

RlSheetStatus
rl_sheet_output_write(const RlSheetOptions *const options, const RlSheet *const sheet)
{
  const int count = options->format == RL_SHEET_PDF ? 1 : sheet->pages;
  assert(sheet->pages > 0 && options->output);
  signal(SIGPIPE, SIG_IGN);
  signal(SIGXFSZ, SIG_IGN);
  if (!strcmp(options->output, "-") && count > 1) {
    return unwritten("-", "this sheet has several pages, and only a PDF holds them all; use "
                          "--format=pdf, or name a file");
  }
  File *const files = (File *)calloc((size_t)count, sizeof(*files));
  if (!files) {
    return unwritten(options->output, "not enough memory");
  }
  const RlSheetStatus status = pages_write(options, sheet, files, count);
  for (int i = 0; i < count; ++i) {
    free(files[i].bytes.at);
    free(files[i].path);
  }
  free(files);
  return status;
}
