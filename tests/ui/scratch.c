/* SPDX-License-Identifier: ISC */
#define _XOPEN_SOURCE 700 /* mkdtemp() */
#include "scratch.h"

#include "plugin/protocol/properties.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include <cmocka.h>

enum { PATH_SIZE = 4096 };

char root[] = "/tmp/reedlamp-charts-XXXXXX";

bool
root_make(void)
{
  return mkdtemp(root);
}

void
root_empty(void)
{
  char command[128];
  snprintf(command, sizeof(command), "rm -rf %s && mkdir %s", root, root);
  assert_int_equal(system(command), 0);
}

void
root_remove(void)
{
  root_empty();
  rmdir(root);
}

const char *
in(const char *const name)
{
  static char path[4][PATH_SIZE];
  static int  next;
  next = (next + 1) % 4;
  snprintf(path[next], PATH_SIZE, "%s/%s", root, name);
  return path[next];
}

void
write_file(const char *const name, const char *const text)
{
  FILE *const to = fopen(in(name), "wb");
  assert_non_null(to);
  fputs(text, to);
  assert_int_equal(fclose(to), 0);
}

bool
read_file(const char *const path, char *const text, const size_t size)
{
  FILE *const from                                = fopen(path, "rb");
  text[from ? fread(text, 1, size - 1, from) : 0] = '\0';
  return from && !fclose(from);
}

void
file_is(const char *const name, const char *const text)
{
  static char got[2 * RL_CHART_MAX];
  assert_true(read_file(in(name), got, sizeof(got)));
  assert_string_equal(got, text);
}
