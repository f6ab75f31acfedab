/* SPDX-License-Identifier: ISC */
/* Messages on their way out in bundles of at most RL_OSC_BUNDLE_MAX bytes, one after the other, all
   with one time tag. Included by those who know liblo only: bundle.c, texts.c. */
#ifndef RL_PLUGIN_OSC_POST_H
#define RL_PLUGIN_OSC_POST_H

#include "plugin/osc/bundle.h"

#include <lo/lo.h>

enum { RL_OSC_BUNDLE_HEAD = 16 /**< "#bundle" and the time tag */ };

typedef struct {
  lo_timetag when;
  lo_bundle  bundle; /**< NULL: none begun */
  size_t     size;
  bool       whole; /**< nothing has been left out for want of memory */
  RlOscOut   out;
  void      *data;
} RlOscPost;

/** Begins; `when` in nanoseconds since 1970. */
RlOscPost rl_osc_post(int64_t when, RlOscOut out, void *data);

/** The message is the bundle's from here on; NULL: there was no memory for it. */
void rl_osc_post_add(RlOscPost *post, const char *path, lo_message message);

/** Sends what there is. */
void rl_osc_post_flush(RlOscPost *post);

/** What has been filled in without a failure; NULL else. */
lo_message rl_osc_filled(lo_message message, int failure);

/** Returns a message with these arguments. */
#define RL_OSC_MESSAGE(types, ...)                                                                 \
  const lo_message m = lo_message_new();                                                           \
  return rl_osc_filled(m, m && lo_message_add(m, types, __VA_ARGS__))

#endif
