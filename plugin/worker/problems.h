/* SPDX-License-Identifier: ISC */
/* What is wrong, by what it is about, and all of it as one text. Guarded by the document's lock. */
#ifndef RL_PLUGIN_WORKER_PROBLEMS_H
#define RL_PLUGIN_WORKER_PROBLEMS_H

#include "core/text/text.h"
#include "plugin/protocol/properties.h"

/** What a problem is about, in the order in which they are told. */
typedef enum {
  RL_ABOUT_CHART,     /**< the last chart, its file */
  RL_ABOUT_PLAN,      /**< the last plan */
  RL_ABOUT_LINE,      /**< the targets of the chart in force */
  RL_ABOUT_LANE,      /**< the phrases of the plan in force */
  RL_ABOUT_TAKE,      /**< the last take, or edit of one */
  RL_ABOUT_OSC_TO,    /**< the last addresses */
  RL_ABOUT_SESSION,   /**< the session restored last */
  RL_ABOUT_RECEIVERS, /**< those who are sent to */
  RL_ABOUT_BAR_ONE,   /**< bar_one_edit, set last */
  RL_ABOUT_HARP_FROM, /**< hearing the player */
  RL_ABOUT_PRACTICE,  /**< the lines of practice, their file */
  RL_ABOUT_HEAR_TAKE, /**< what was asked to be heard last */
  RL_ABOUT_TRACK,     /**< keeping the track */
  RL_ABOUTS
} RlAbout;

/** Each empty where nothing is wrong; all are at the beginning. Short ones are sentences of ours,
    the others may hold words of a person's, or the name of a file. */
typedef struct {
  char chart[RL_PROBLEM_SIZE], plan[RL_PROBLEM_SIZE], line[RL_REASON_SIZE], lane[RL_PROBLEM_SIZE],
    take[RL_PROBLEM_SIZE], osc_to[RL_PROBLEM_SIZE], session[RL_PROBLEM_SIZE],
    receivers[RL_PROBLEM_SIZE], bar_one[RL_REASON_SIZE], harp_from[RL_REASON_SIZE],
    practice[RL_PROBLEM_SIZE], hear_take[RL_PROBLEM_SIZE], track[RL_REASON_SIZE];
} RlProblems;

/** What is wrong about something; "" if nothing is. */
const char *rl_problems_words(const RlProblems *problems, RlAbout about);

/** What setting a property may go wrong about. */
RlAbout rl_problems_about(RlProperty property);

/** Says what is wrong; "" if nothing is. */
void rl_problems_set(RlProblems *problems, RlAbout about, const char *words);

/** Appends all of them. */
void rl_problems_write(const RlProblems *problems, RlText *text);

#endif
