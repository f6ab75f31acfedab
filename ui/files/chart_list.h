/* SPDX-License-Identifier: ISC */
/* What lies in a folder of charts: its folders, and every chart with title, bars, key, meter and
   feel, or with what is wrong with it. Any thread but those of audio and drawing. */
#ifndef RL_UI_FILES_CHART_LIST_H
#define RL_UI_FILES_CHART_LIST_H

#include "ui/files/chart_text.h"

enum { RL_CHARTS_MAX = 20000, RL_ENTRY_LABEL_SIZE = 96, RL_ENTRY_ABOUT_SIZE = 256 };

typedef enum {
  RL_ENTRY_PARENT, /**< the folder above */
  RL_ENTRY_FOLDER,
  RL_ENTRY_UNREAD, /**< a chart that is still to be read */
  RL_ENTRY_CHART,
  RL_ENTRY_WRONG, /**< cannot be read as a chart */
  RL_ENTRY_GONE   /**< was there once */
} RlEntryKind;

/** A line of the list. The texts can be shown. */
typedef struct {
  RlEntryKind kind;
  char       *path;                       /**< as the file system has it */
  char        label[RL_ENTRY_LABEL_SIZE]; /**< a chart's title; else the file's name */
  char        about[RL_ENTRY_ABOUT_SIZE]; /**< "12 bars in G, 4/4, swing", or what is wrong */
} RlEntry;

/** Zeroed before its first use. */
typedef struct {
  int      count, capacity;
  RlEntry *entry;
  bool     missing;                     /**< there is no such folder */
  char     problem[RL_FILE_WORDS_SIZE]; /**< why there is less in it than there should be */
} RlChartList;

void rl_chart_list_free(RlChartList *list);

/** Appends an entry; its label is the file's name. False without memory, which is told in
    `problem`. */
bool rl_chart_list_add(RlChartList *list, RlEntryKind kind, const char *path);

/** Appends what lies in a folder: the one above, its folders, then its files *.chart (in any case),
    unread; each by name. Names that begin with a dot are left out. */
void rl_chart_list_folder(RlChartList *list, const char *folder);

/** Reads a chart that is still unread: its title and what it is. */
void rl_chart_list_read(RlEntry *entry, RlForm *form, RlChartText *text);

/** Puts folders first and charts in the order of their titles. */
void rl_chart_list_sort(RlChartList *list);

/** Appends "12 bars in G, 4/4, swing". */
void rl_chart_about(const RlForm *form, RlText *text);

#endif
