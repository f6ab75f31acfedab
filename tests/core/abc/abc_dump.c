/* SPDX-License-Identifier: ISC */
/* Prints what rl_abc_read() makes of ABC files, one JSON object a line, for abc/check.mjs to
   compare:

     {"file":"a.abc","tune":1,"pickup":20160,"lasts":80640,"tempo":96,"notes":[[-20160,10080,67],…],"left":"a
   slur left out"}

   a note being onset and length in ticks (20160 in a quarter) and its concert pitch (MIDI). Each
   tune of a book counts. `abc_dump --write FILE…` prints the tunes as rl_abc_write() writes them;
   `--all` goes on where a tune is refused, and says so.
 */
#include "core/abc/abc.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static RlPhrase     phrase;
static RlAbcLeftOut left;
static bool         all; /* refused tunes too */

static void
stop(const char *const file, const char *const what)
{
  fprintf(stderr, "%s: %s\n", file, what);
  exit(1);
}

static RlSlice
file_read(const char *const path)
{
  static char buffer[1 << 20];
  FILE *const file = fopen(path, "rb");
  if (!file) {
    stop(path, "cannot be opened");
  }
  const size_t n = fread(buffer, 1, sizeof(buffer), file);
  fclose(file);
  return (RlSlice){buffer, n};
}

static void
notes_print(const char *const path, const int tune)
{
  const char *const slash = strrchr(path, '/');
  printf("{\"file\":\"%s\",\"tune\":%d,\"pickup\":%d,\"lasts\":%d,\"tempo\":%g,\"notes\":[",
         slash ? slash + 1 : path, tune, phrase.pickup, phrase.lasts, phrase.tempo);
  for (int i = 0; i < phrase.notes; ++i) {
    const RlPhraseNote *const note = &phrase.note[i];
    printf("%s[%d,%d,%d]", i ? "," : "", note->at, note->lasts, rl_phrase_pitch(&phrase, note));
  }
  char   words[512];
  RlText text = rl_text_in(words, sizeof(words));
  rl_abc_left_write(&left, &text);
  printf("],\"left\":\"%s\"}\n", words);
}

static void
tune_print(const char *const path, const RlSlice text, const int line, const int tune,
           const bool write)
{
  static char buffer[RL_ABC_MAX];
  RlText      out = rl_text_in(buffer, sizeof(buffer));
  RlAbcError  error;
  if (!rl_abc_read_counting(text, &phrase, &left, &error)) {
    error.line += line - 1;
    rl_abc_error_write(&error, &out);
    if (!all) {
      stop(path, buffer);
    }
    printf("{\"file\":\"%s\",\"tune\":%d,\"line\":%d,\"refused\":true}\n", path, tune, line);
    fprintf(stderr, "%s: tune %d: %s\n", path, tune, buffer);
    return;
  }
  if (write) {
    rl_abc_write(&phrase, &out);
    printf("%s\n", buffer);
    return;
  }
  notes_print(path, tune);
}

int
main(const int argc, char **const argv)
{
  const bool write = argc > 1 && !strcmp(argv[1], "--write");
  all              = argc > 1 && !strcmp(argv[1], "--all");
  for (int i = 1 + write + all; i < argc; ++i) {
    RlAbcBook book = rl_abc_book(file_read(argv[i]));
    int       tune = 0;
    for (RlSlice text = rl_abc_next(&book); text.length; text = rl_abc_next(&book)) {
      tune_print(argv[i], text, book.line, ++tune, write);
    }
  }
  return 0;
}
