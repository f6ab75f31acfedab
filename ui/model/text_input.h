/* SPDX-License-Identifier: ISC */
/* A text under a person's hands: characters come and go at a caret. UTF-8; never longer than it has
   room for, never a broken character. No heap. */
#ifndef RL_UI_MODEL_TEXT_INPUT_H
#define RL_UI_MODEL_TEXT_INPUT_H

#include "ui/model/input.h"

#include "core/text/text.h"

enum { RL_TEXT_INPUT_SIZE = 16384 + 1 };

typedef struct {
  char   text[RL_TEXT_INPUT_SIZE]; /**< NUL-terminated */
  size_t length, caret;            /**< bytes */
  bool   lines;                    /**< Enter begins a new line */
} RlTextInput;

/** Begins with that text, the caret at its end. What does not fit is left out. */
void rl_text_input_begin(RlTextInput *typing, RlSlice text, bool lines);

/** A key; true if it was one for a text. */
bool rl_text_input_key(RlTextInput *typing, const RlInput *input);

/** Line (from 0) and byte in the line of the caret. */
size_t rl_text_input_line(const RlTextInput *typing, size_t *in_line);

/** The text of a line, empty past the end; and how many there are, at least 1. */
RlSlice rl_text_input_at(const RlTextInput *typing, size_t line);
size_t  rl_text_input_lines(const RlTextInput *typing);

/** Puts the caret into a line, as near to that many bytes from its beginning as characters allow.
 */
void rl_text_input_put(RlTextInput *typing, size_t line, size_t in_line);

#endif
