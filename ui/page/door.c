/* SPDX-License-Identifier: ISC */
#include "ui/page/door.h"

#include "ui/page/files.h"
#include "ui/page/qr.h"

#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>

/* A page is opened, written into, and closed. */
typedef struct {
  char  *text;
  size_t length;
  FILE  *to;
} Sheet;

static Sheet *
sheet_open(Sheet *const sheet)
{
  *sheet    = (Sheet){0};
  sheet->to = open_memstream(&sheet->text, &sheet->length);
  if (sheet->to) {
    fputs(rl_files_plain_head, sheet->to);
  }
  return sheet->to ? sheet : NULL;
}

static char *
sheet_close(Sheet *const sheet, bool good, size_t *const length)
{
  fputs(rl_files_plain_foot, sheet->to);
  good    = !fclose(sheet->to) && good;
  *length = sheet->length;
  if (!good) {
    free(sheet->text);
  }
  return good ? sheet->text : NULL;
}

char *
rl_door_page(const char *const said, size_t *const length)
{
  Sheet sheet;
  if (!sheet_open(&sheet)) {
    return NULL;
  }
  fprintf(sheet.to,
          "<main>\n<h1>Reedlamp</h1>\n<p role=\"status\">%s</p>\n<form action=\"/\">\n"
          "<label for=\"words\">The four words</label>\n"
          "<input id=\"words\" name=\"words\" required maxlength=\"60\" autofocus "
          "autocomplete=\"off\" autocapitalize=\"none\" spellcheck=\"false\">\n"
          "<button>open</button>\n</form>\n</main>\n",
          said);
  return sheet_close(&sheet, true, length);
}

/* Text in HTML: an address has what is special there only if somebody wants it to. */
static void
text_write(const char *text, FILE *const to)
{
  for (; *text; ++text) {
    if (*text == '<' || *text == '&') {
      fputs(*text == '<' ? "&lt;" : "&amp;", to);
    } else {
      fputc(*text, to);
    }
  }
}

char *
rl_door_code(const char *const address, const char *const door, const char *const words,
             size_t *const length)
{
  Sheet sheet;
  if (!sheet_open(&sheet)) {
    return NULL;
  }
  fputs("<main class=\"code\">\n", sheet.to);
  const bool good = rl_qr_draw(address, sheet.to);
  fputs("<p>", sheet.to);
  text_write(*words ? door : address, sheet.to);
  fputs("</p>\n", sheet.to);
  if (*words) {
    fputs("<p><b>", sheet.to);
    for (const char *at = words; *at; ++at) {
      fputc(*at == '-' ? ' ' : *at, sheet.to);
    }
    fputs("</b></p>\n", sheet.to);
  }
  fputs("</main>\n", sheet.to);
  return sheet_close(&sheet, good, length);
}
