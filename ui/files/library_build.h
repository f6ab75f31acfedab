/* SPDX-License-Identifier: ISC */
/* Private to the library of phrases: how it is put together. */
#ifndef RL_UI_FILES_LIBRARY_BUILD_H
#define RL_UI_FILES_LIBRARY_BUILD_H

#include "ui/files/library.h"

extern const char rl_library_no_memory[];

/** Stores in `problem` what could not be used, and why. */
void rl_library_problem(RlLibrary *library, const char *where, const char *why);

/** Makes room for `more` bytes of text. The text may move: phrases and files keep offsets into it.
 */
bool rl_library_grow(RlLibrary *library, size_t more);

/** The next phrase, of the last file, not counted yet; NULL if there is no memory or the library is
    full, which is reported. */
RlLibraryPhrase *rl_library_phrase_new(RlLibrary *library, const char *file);

/** Adds the tunes of the last `size` bytes of the text, which are those of the last file. */
void rl_library_book_add(RlLibrary *library, const char *file, size_t size, bool own);

/** Adds the parts of a MIDI file, which is the last one. */
void rl_library_parts_add(RlLibrary *library, const char *file, RlSlice bytes);

/** The title of what has only the name of its file, which has an ending. */
void rl_library_name_title(const char *file, char title[RL_PHRASE_TITLE_SIZE]);

/** Adds a file without content, the last one. False without memory, which is reported. */
bool rl_library_file_begin(RlLibrary *library, const char *name, bool own, bool midi);

/** The last file has these bytes, which stand behind the text: its phrases are added. */
void rl_library_file_end(RlLibrary *library, const char *name, size_t bytes);

#endif
