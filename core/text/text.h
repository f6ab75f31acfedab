/* SPDX-License-Identifier: ISC */
/* Small texts built into a caller's buffer (chord names, degrees, error messages), and slices of
   UTF-8 text to read. No heap. All functions are real-time safe, any thread; those that go over a
   text take time in proportion to it. */
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

/** A part of a text that the caller owns; not NUL-terminated. */
typedef struct {
  const char *at;
  size_t      length; /**< bytes */
} RlSlice;

/** Begins an empty text in `buffer` of `size` bytes (at least 1, the NUL included). */
RlText rl_text_in(char *buffer, size_t size);

/** Appends a NUL-terminated string. What does not fit is cut at a whole UTF-8 character; a shorter
    string added after it may still fit. */
void rl_text_add(RlText *text, const char *string);

/** Appends a slice, cut in the same way. */
void rl_text_add_slice(RlText *text, RlSlice slice);

/** Appends a number in decimal, cut in the same way. */
void rl_text_add_int(RlText *text, int64_t number);

/** Appends what an error message quotes of a user's text: its first 39 bytes at most. */
void rl_text_add_quote(RlText *text, RlSlice quoted);

/** The slice of a NUL-terminated string. */
RlSlice rl_slice(const char *string);

/** Does `slice` begin with `prefix` (all of it)? */
int rl_slice_begins(RlSlice slice, const char *prefix);

/** Is `slice` the same bytes as `string`? */
int rl_slice_is(RlSlice slice, const char *string);

/** `slice` without its first `bytes` bytes (at most its length). */
RlSlice rl_slice_after(RlSlice slice, size_t bytes);

/** Bytes before the first of the ASCII characters in `stops`; the whole length if there is none. */
size_t rl_slice_until(RlSlice slice, const char *stops);

/** `slice` without spaces, tabs and carriage returns at both ends. */
RlSlice rl_slice_trim(RlSlice slice);

/** The value 0..999999 of 1 to 6 decimal digits and nothing else; -1 if it is not that. */
int rl_slice_number(RlSlice slice);

/** Checks for well-formed UTF-8 (RFC 3629) without control characters other than tab, carriage
    return and newline. Returns the offset of the first bad byte, -1 if there is none. */
ptrdiff_t rl_slice_bad_byte(RlSlice slice);

#endif
