/* Sheets into files: drawn into memory first, written beside their place, then renamed. */
#include "sheet.h"

#include <cairo-pdf.h>
#include <cairo-svg.h>
#include <errno.h>
#include <math.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#ifndef RL_VERSION
#define RL_VERSION "unknown"
#endif

enum { SUFFIX_ROOM = 16 };

/* A file to be. */
typedef struct {
  unsigned char *at;
  size_t         length, room;
  char          *path, *beside; /* its place, and where it is written */
} File;

static cairo_status_t
bytes_add(void *const data, const unsigned char *const bytes, const unsigned length)
{
  File *const f = (File *)data;
  if (f->length + length > f->room) {
    const size_t         room  = 2 * (f->length + length);
    unsigned char *const grown = (unsigned char *)realloc(f->at, room);
    if (!grown) {
      return CAIRO_STATUS_NO_MEMORY;
    }
    f->at   = grown;
    f->room = room;
  }
  memcpy(f->at + f->length, bytes, length);
  f->length += length;
  return CAIRO_STATUS_SUCCESS;
}

/* ---- drawing ---- */

static void
title_set(cairo_surface_t *const to, const RlForm *const form)
{
  char   words[RL_CHART_MAX + 1];
  RlText text = rl_text_in(words, sizeof(words));
  rl_text_add_slice(&text, rl_form_text(form, form->title));
  cairo_pdf_surface_set_metadata(to, CAIRO_PDF_METADATA_TITLE, words[0] ? words : "Untitled");
  cairo_pdf_surface_set_metadata(to, CAIRO_PDF_METADATA_CREATOR, "Reedlamp " RL_VERSION);
}

static cairo_surface_t *
surface_of(const RlSheetFormat format, const RlRect sheet, File *const f)
{
  const double scale = RL_SHEET_DPI / 72.0;
  return format == RL_SHEET_PDF
           ? cairo_pdf_surface_create_for_stream(bytes_add, f, sheet.w, sheet.h)
         : format == RL_SHEET_SVG
           ? cairo_svg_surface_create_for_stream(bytes_add, f, sheet.w, sheet.h)
           : cairo_image_surface_create(CAIRO_FORMAT_RGB24, (int)lround(sheet.w * scale),
                                        (int)lround(sheet.h * scale));
}

/* Pages `from` up to `to` into one file. */
static cairo_status_t
file_draw(const RlSheetFormat format, const RlPaper *const paper, RlCase *const type,
          const int from, const int to, File *const f)
{
  cairo_surface_t *const on = surface_of(format, rl_paper_sheet(paper->size), f);
  cairo_t *const         cr = cairo_create(on);
  if (format == RL_SHEET_PDF) {
    title_set(on, paper->form);
  }
  if (format == RL_SHEET_PNG) {
    cairo_scale(cr, RL_SHEET_DPI / 72.0, RL_SHEET_DPI / 72.0);
  }
  for (int page = from; page < to; ++page) {
    rl_paper_draw(paper, page, cr, type, NULL, NULL);
    cairo_show_page(cr);
  }
  cairo_status_t status = cairo_status(cr);
  cairo_destroy(cr);
  if (format == RL_SHEET_PNG && status == CAIRO_STATUS_SUCCESS) {
    status = cairo_surface_write_to_png_stream(on, bytes_add, f);
  }
  cairo_surface_finish(on);
  status = status == CAIRO_STATUS_SUCCESS ? cairo_surface_status(on) : status;
  cairo_surface_destroy(on);
  return status;
}

/* ---- writing ---- */

static RlSheetEnd
unwritten(const char *const path, const char *const why)
{
  return rl_sheet_complain(RL_SHEET_OUTPUT, strcmp(path, "-") != 0 ? path : "standard output", why);
}

static bool
bytes_write(const int to, const File *const f)
{
  size_t done = 0;
  while (done < f->length) {
    const ssize_t n = write(to, f->at + done, f->length - done);
    if (n < 0 && errno != EINTR) {
      return false;
    }
    done += n > 0 ? (size_t)n : 0;
  }
  return true;
}

/* What is there must be a plain file, or nothing. */
static const char *
place_check(const char *const path)
{
  struct stat is;
  return stat(path, &is) == 0 && !S_ISREG(is.st_mode)
           ? "not a plain file; name another, or - for standard output"
           : NULL;
}

/* `sheet.svg` as it is, or `sheet-2.svg`. Free it. */
static char *
path_of(const char *const path, const int number)
{
  const char *const slash = strrchr(path, '/');
  const char *const dot   = strrchr(path, '.');
  const int         stem =
    (int)(dot && (!slash || dot > slash + 1) && dot > path ? (size_t)(dot - path) : strlen(path));
  const size_t room = strlen(path) + SUFFIX_ROOM;
  char *const  text = (char *)malloc(room);
  if (text && number) {
    snprintf(text, room, "%.*s-%d%s", stem, path, number, path + stem);
  } else if (text) {
    snprintf(text, room, "%s", path);
  }
  return text;
}

/* Writes it whole, beside its place; where that is a link, beside what it leads to. NULL, or why
   not. */
static const char *
beside_write(File *const f)
{
  char *const leads_to = realpath(f->path, NULL);
  if (leads_to) {
    free(f->path);
    f->path = leads_to;
  }
  const size_t room = strlen(f->path) + SUFFIX_ROOM;
  const char  *why  = place_check(f->path);
  char *const  name = why ? NULL : (char *)malloc(room);
  if (!name) {
    return why ? why : "no memory";
  }
  snprintf(name, room, "%s.XXXXXX", f->path);
  const mode_t mask = umask(0);
  umask(mask);
  const int to = mkstemp(name);
  if (to < 0) {
    why = strerror(errno);
    free(name);
    return why;
  }
  f->beside        = name;
  const bool whole = bytes_write(to, f) && fchmod(to, 0666 & ~mask) == 0;
  why              = whole ? NULL : strerror(errno);
  return close(to) == 0 || why ? why : strerror(errno);
}

/* All files, or none of them. */
static RlSheetEnd
files_keep(File *const files, const int count)
{
  RlSheetEnd end = RL_SHEET_DONE;
  for (int i = 0; i < count && end == RL_SHEET_DONE; ++i) {
    const char *const why = beside_write(&files[i]);
    end                   = why ? unwritten(files[i].path, why) : end;
  }
  for (int i = 0; i < count && end == RL_SHEET_DONE; ++i) {
    if (rename(files[i].beside, files[i].path) != 0) {
      end = unwritten(files[i].path, strerror(errno));
    } else {
      free(files[i].beside);
      files[i].beside = NULL;
    }
  }
  for (int i = 0; i < count; ++i) {
    if (files[i].beside) {
      unlink(files[i].beside);
      free(files[i].beside);
    }
  }
  return end;
}

/* Without an interruption in the middle: it would leave behind what was written beside. */
static RlSheetEnd
files_write(File *const files, const int count)
{
  sigset_t ends, before;
  sigemptyset(&ends);
  sigaddset(&ends, SIGINT);
  sigaddset(&ends, SIGTERM);
  sigaddset(&ends, SIGHUP);
  sigprocmask(SIG_BLOCK, &ends, &before);
  const RlSheetEnd end = files_keep(files, count);
  sigprocmask(SIG_SETMASK, &before, NULL);
  for (int i = 0; i < count && count > 1 && end == RL_SHEET_DONE; ++i) {
    printf("page %d of %d: %s\n", i + 1, count, files[i].path);
  }
  return end;
}

static RlSheetEnd
pages_write(const RlSheetWish *const w, const RlPaper *const paper, File *const files,
            const int count)
{
  const bool    to_stdout = !strcmp(w->output, "-");
  RlCase *const type      = rl_case();
  for (int i = 0; i < count; ++i) {
    const int            to = w->format == RL_SHEET_PDF ? paper->pages : i + 1;
    const cairo_status_t status =
      type ? file_draw(w->format, paper, type, i, to, &files[i]) : CAIRO_STATUS_NO_MEMORY;
    files[i].path = path_of(w->output, count > 1 ? i + 1 : 0);
    if (status != CAIRO_STATUS_SUCCESS || !files[i].path) {
      return unwritten(w->output, files[i].path ? cairo_status_to_string(status) : "no memory");
    }
  }
  if (to_stdout) {
    return bytes_write(STDOUT_FILENO, &files[0]) ? RL_SHEET_DONE
                                                 : unwritten(w->output, strerror(errno));
  }
  return files_write(files, count);
}

RlSheetEnd
rl_sheet_write(const RlSheetWish *const w, const RlSheet *const s)
{
  const int count = w->format == RL_SHEET_PDF ? 1 : s->paper.pages;
  signal(SIGPIPE, SIG_IGN);
  signal(SIGXFSZ, SIG_IGN);
  if (!strcmp(w->output, "-") && count > 1) {
    return unwritten("-", "this sheet has several pages, and only a PDF holds them all; use "
                          "--format=pdf, or name a file");
  }
  File *const files = (File *)calloc((size_t)count, sizeof(*files));
  if (!files) {
    return unwritten(w->output, "no memory");
  }
  const RlSheetEnd end = pages_write(w, &s->paper, files, count);
  for (int i = 0; i < count; ++i) {
    free(files[i].at);
    free(files[i].path);
  }
  free(files);
  return end;
}
