/* SPDX-License-Identifier: ISC */
/* Files in a folder of the test's own. */
#ifndef RL_TESTS_UI_SCRATCH_H
#define RL_TESTS_UI_SCRATCH_H

#include <stdbool.h>
#include <stddef.h>

/** The folder, once it is made. */
extern char root[];

/** Makes it; false if that cannot be. */
bool root_make(void);

/** Takes everything out of it. */
void root_empty(void);

void root_remove(void);

/** A path in it, good until it has been asked three more times. */
const char *in(const char *name);

/** Writes a file in it. */
void write_file(const char *name, const char *text);

/** Reads up to `size` - 1 bytes of a file wherever it is; false, and the text is empty, without. */
bool read_file(const char *path, char *text, size_t size);

/** A file in it holds this and no more; else the test fails. */
void file_is(const char *name, const char *text);

#endif
