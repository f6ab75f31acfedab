/* SPDX-License-Identifier: ISC */
#include "ui/paper/documents.h"

#include "ui/paper/atomic_file.h"
#include "ui/paper/compose.h"
#include "ui/paper/pdf.h"

#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

enum {
  NAME_MAX_BYTES = 100,
  PATH_SIZE      = RL_DOCUMENTS_PATH_SIZE,
  LINE_SIZE      = 4096,
  NUMBERS_MAX    = 99
};

/* ---- where ---- */

static bool
is_folder(const char *const path)
{
  struct stat is;
  return path[0] == '/' && stat(path, &is) == 0 && S_ISDIR(is.st_mode);
}

/* The value of a line `XDG_DOCUMENTS_DIR="$HOME/Papers"`, as xdg-user-dirs writes it: in quotes,
   absolute or in the home folder, with backslashes before what a shell would take. */
static bool
line_read(const char *line, const char *const home, char *const path, const size_t size)
{
  static const char key[] = "XDG_DOCUMENTS_DIR=\"", below[] = "$HOME/";
  size_t            used = 0;
  line += strspn(line, " \t");
  if (strncmp(line, key, sizeof(key) - 1) != 0) {
    return false;
  }
  line += sizeof(key) - 1;
  if (!strncmp(line, below, sizeof(below) - 1)) {
    used = (size_t)snprintf(path, size, "%s/", home);
    line += sizeof(below) - 1;
  }
  for (; *line && *line != '"' && used + 1 < size; ++line) {
    line += line[0] == '\\' && line[1] ? 1 : 0;
    path[used++] = *line;
  }
  path[used < size ? used : size - 1] = '\0';
  return *line == '"' && is_folder(path);
}

/* The last line that says it holds, as for a shell. */
static bool
folder_said(const char *const home, char *const path, const size_t size)
{
  const char *const config = getenv("XDG_CONFIG_HOME");
  const bool        own    = config && config[0] == '/';
  char              name[PATH_SIZE], line[LINE_SIZE], said[PATH_SIZE];
  bool              found = false;
  const int         length =
    snprintf(name, sizeof(name), "%s%s/user-dirs.dirs", own ? config : home, own ? "" : "/.config");
  FILE *const file = length < PATH_SIZE ? fopen(name, "re") : NULL;
  while (file && fgets(line, sizeof(line), file)) {
    if (line_read(line, home, said, sizeof(said)) && strlen(said) < size) {
      memcpy(path, said, strlen(said) + 1);
      found = true;
    }
  }
  if (file) {
    fclose(file);
  }
  return found;
}

bool
rl_documents_folder(char *const path, const size_t size)
{
  const char *const home = getenv("HOME");
  if (!home || home[0] != '/' || strlen(home) >= size || strlen(home) >= LINE_SIZE) {
    return false;
  }
  if (!folder_said(home, path, size)) {
    memcpy(path, home, strlen(home) + 1);
  }
  return true;
}

/* ---- on which paper ---- */

RlPaperSize
rl_documents_paper(void)
{
  static const char *const variables[] = {"LC_ALL", "LC_PAPER", "LANG"};
  static const char letter[] = "BZ CA CL CO CR GT MX NI PA PH PR SV US VE "; /* CLDR paperSize */
  const char       *locale   = NULL;
  for (int i = 0; i < 3 && (!locale || !*locale); ++i) {
    locale = getenv(variables[i]);
  }
  const char *const mark = locale ? strchr(locale, '_') : NULL; /* es_419.UTF-8, en_US@posix */
  if (!mark || strcspn(mark + 1, ".@") != 2) {
    return RL_PAPER_A4;
  }
  const char territory[] = {mark[1], mark[2], ' ', '\0'};
  return strstr(letter, territory) ? RL_PAPER_LETTER : RL_PAPER_A4;
}

/* ---- under which name ---- */

void
rl_documents_name(const RlForm *const form, const bool ascii, RlText *const name)
{
  const RlSlice title = rl_slice_trim(rl_form_text(form, form->title));
  char          words[NAME_MAX_BYTES + 1];
  RlText        text = rl_text_in(words, sizeof(words));
  rl_text_add_slice(&text, title);
  for (size_t i = 0; i < text.used; ++i) {
    const unsigned char c = (unsigned char)words[i];
    words[i] =
      c < ' ' || strchr("/\\:*?\"<>|", c) || c == 0x7F || (ascii && c > '~') ? '-' : (char)c;
  }
  while (text.used && strchr(" .", words[text.used - 1])) {
    words[--text.used] = '\0';
  }
  if (words[0] == '.') { /* would be hidden */
    words[0] = '-';
  }
  rl_text_add(name, words[0] ? words : "Untitled");
}

/* A name in the folder that nobody has, held by an empty file from now on: so that renaming the
   whole one to it writes over nothing but that. NULL, or why there is none. */
static const char *
place_hold(const char *const folder, const RlForm *const form, char path[PATH_SIZE])
{
  char   name[NAME_MAX_BYTES + 1];
  RlText text = rl_text_in(name, sizeof(name));
  int    to   = -1;
  rl_documents_name(form, false, &text);
  errno = EEXIST;
  for (int i = 1; to < 0 && errno == EEXIST && i <= NUMBERS_MAX; ++i) {
    char number[16] = "";
    if (i > 1) {
      snprintf(number, sizeof(number), " %d", i);
    }
    if (snprintf(path, PATH_SIZE, "%s/%s%s.pdf", folder, name, number) >= PATH_SIZE) {
      return "its name is too long";
    }
    to = open(path, O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC, 0666);
  }
  return to >= 0 && close(to) == 0 ? NULL : strerror(errno);
}

/* ---- keeping ---- */

static const char *
pdf_keep(const char *const folder, const RlForm *const form, const RlBytes *const pdf,
         char path[PATH_SIZE])
{
  char *temporary = NULL;
  if (snprintf(path, PATH_SIZE, "%s/.reedlamp-sheet", folder) >= PATH_SIZE) {
    return "its name is too long";
  }
  const char *why  = rl_atomic_file_write(path, pdf, &temporary);
  const bool  held = !why && !(why = place_hold(folder, form, path));
  if (held && rename(temporary, path) != 0) {
    why = strerror(errno);
    unlink(path);
  }
  if (why && temporary) {
    unlink(temporary);
  }
  free(temporary);
  return why;
}

bool
rl_documents_keep(const char *const folder, RlSheet *const sheet, RlText *const said)
{
  RlTextCache *const type            = rl_text_cache();
  RlBytes            pdf             = {NULL, 0, 0};
  char               path[PATH_SIZE] = "";
  rl_sheet_fit(sheet);
  const cairo_status_t status = type ? rl_sheet_pdf(sheet, type, &pdf) : CAIRO_STATUS_NO_MEMORY;
  const char *const    why    = status != CAIRO_STATUS_SUCCESS
                                  ? cairo_status_to_string(status)
                                  : pdf_keep(folder, sheet->form, &pdf, path);
  free(pdf.at);
  rl_text_add(said, why ? "The lesson sheet cannot be written into " : "The lesson sheet is in ");
  rl_text_add(said, why ? folder : path);
  if (why) {
    rl_text_add(said, ": ");
    rl_text_add(said, why);
    rl_text_add(said, ". Make that folder writable, or name another one in user-dirs.dirs.");
  }
  return !why;
}
