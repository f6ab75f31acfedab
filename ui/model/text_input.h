/* SPDX-License-Identifier: ISC */
/* A text that is being typed, with a caret. UTF-8; a character is kept whole or not at all. Pure
   but for the text it is given. */
#ifndef RL_UI_MODEL_TEXT_INPUT_H
#define RL_UI_MODEL_TEXT_INPUT_H

#include "ui/model/input.h"

#include "core/text/text.h"

enum { RL_TEXT_INPUT_SIZE = 16384 + 1 };

typedef struct {
  char   text[RL_TEXT_INPUT_SIZE]; /**< NUL-terminated */
  size_t length, caret;            /**< bytes */
  bool   lines;                    /**< there may be several lines */
  bool   all;                      /**< everything is selected: what is typed takes its place */
} RlTextInput;

/** Begins with that text, the caret at its end. What does not fit is left out. With `lines` the
   Enter key begins a new line. */
void rl_text_input_begin(RlTextInput *input, RlSlice text, bool lines);

/** Selects the whole text, if there is any: a character or a deletion takes all of it away, a
    movement of the caret only ends the selection. */
void rl_text_input_select(RlTextInput *input);

/** Handles a key: characters, deletion, movement of the caret, Control-A, which selects everything.
 * False if it is not a key for a text.
 */
bool rl_text_input_key(RlTextInput *text, const RlInput *key);

/** The line of the caret, from 0; `in_line` gets its byte in the line. */
size_t rl_text_input_line(const RlTextInput *input, size_t *in_line);

/** The text of a line, empty past the last; and how many lines there are, at least 1. */
RlSlice rl_text_input_at(const RlTextInput *input, size_t line);
size_t  rl_text_input_lines(const RlTextInput *input);

/** Puts the caret into a line, `in_line` bytes from its beginning or as near as characters allow.
    Nothing is selected then. */
void rl_text_input_put(RlTextInput *input, size_t line, size_t in_line);

#endif
