/* A text under a person's hands: characters come and go at a caret. UTF-8; never longer than it has
   room for, never a broken character. No heap. */
#ifndef RL_TYPING_H
#define RL_TYPING_H

#include "input.h"

#include "../core/text.h"

enum { RL_TYPING_ROOM = 16384 + 1 };

typedef struct {
  char   text[RL_TYPING_ROOM]; /**< NUL-terminated */
  size_t length, caret;        /**< bytes */
  bool   lines;                /**< Enter begins a new line */
} RlTyping;

/** Begins with that text, the caret at its end. What does not fit is left out. */
void rl_typing_begin(RlTyping *typing, RlSlice text, bool lines);

/** A key; true if it was one for a text. */
bool rl_typing_key(RlTyping *typing, const RlInput *input);

/** Line (from 0) and byte in the line of the caret. */
size_t rl_typing_line(const RlTyping *typing, size_t *in_line);

/** The text of a line, empty past the end; and how many there are, at least 1. */
RlSlice rl_typing_at(const RlTyping *typing, size_t line);
size_t  rl_typing_lines(const RlTyping *typing);

/** Puts the caret into a line, as near to that many bytes from its beginning as characters allow.
 */
void rl_typing_put(RlTyping *typing, size_t line, size_t in_line);

#endif
