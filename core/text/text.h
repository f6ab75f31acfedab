/* SPDX-License-Identifier: ISC */
/* Small texts built into a caller's buffer: chord names, degrees, error messages.
   Every function is real-time safe and may be called from any thread. */
#ifndef RL_CORE_TEXT_TEXT_H
#define RL_CORE_TEXT_TEXT_H

#include <stddef.h>
#include <stdint.h>

/** A text being built. The buffer always holds a NUL-terminated string. */
typedef struct {
  char  *to;
  size_t size; /**< bytes in the buffer, the NUL included; at least 1 */
  size_t used; /**< bytes written, the NUL not counted */
} RlText;

/** A stretch of somebody else's text; not NUL-terminated. */
typedef struct {
  const char *at;
  size_t      length; /**< bytes */
} RlSlice;

/** Begin an empty text in `buffer` of `size` bytes (at least 1). */
RlText rl_text_in(char *buffer, size_t size);

/** Append a NUL-terminated string; what does not fit is cut at a whole UTF-8
    character (and a shorter one added after it may still fit). */
void rl_text_add(RlText *text, const char *string);
void rl_text_add_slice(RlText *text, RlSlice slice);
void rl_text_add_int(RlText *text, int64_t number);

/** Append what a complaint quotes of a user's text: its first 39 bytes at the most. */
void rl_text_add_quote(RlText *text, RlSlice quoted);

/** The slice of a NUL-terminated string. */
RlSlice rl_slice(const char *string);

/** Does `slice` begin with `prefix` (all of it)? */
int rl_slice_begins(RlSlice slice, const char *prefix);

/** Is `slice` the same bytes as `string`? */
int rl_slice_is(RlSlice slice, const char *string);

/** `slice` without its first `bytes` bytes (at most its length). */
RlSlice rl_slice_after(RlSlice slice, size_t bytes);

/** Bytes before the first of the characters in `stops`, all if there is none. */
size_t rl_slice_until(RlSlice slice, const char *stops);

/** Without spaces, tabs and carriage returns at both ends. */
RlSlice rl_slice_trim(RlSlice slice);

/** A whole decimal number of 1 to 6 digits and nothing else; -1 if it is not one. */
int rl_slice_number(RlSlice slice);

/** Is it well-formed UTF-8 (RFC 3629) without control characters other than tab,
    carriage return and newline? Returns the offset of the first bad byte, or -1. */
ptrdiff_t rl_slice_bad_byte(RlSlice slice);

#endif
