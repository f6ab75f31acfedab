/* SPDX-License-Identifier: ISC */
/* The window's lesson sheets: PDF files among the user's documents. What asks the environment is
   for the window's thread; drawing takes some 60 ms, 0.3 s for 512 bars, and has a thread of its
   own (sheet_thread.h). */
#ifndef RL_UI_PAPER_DOCUMENTS_H
#define RL_UI_PAPER_DOCUMENTS_H

#include "ui/paper/sheet.h"

enum { RL_DOCUMENTS_PATH_SIZE = 4200 /**< bytes that any path here fits into */ };

/** The folder for documents: XDG_DOCUMENTS_DIR in user-dirs.dirs in XDG_CONFIG_HOME (or ~/.config)
    if that is a folder (xdg-user-dirs), else the home folder. False: there is none, or its name
    does not fit into `size` bytes. */
bool rl_documents_folder(char *path, size_t size);

/** The paper of the locale (LC_ALL, LC_PAPER, LANG, the first that is set): Letter where its
    territory is one of those for which the Unicode CLDR has it, else A4. The C library is not
    asked: it knows only locales that are installed, and a host may have set another one. */
RlPaperSize rl_documents_paper(void);

/** Appends the title as any file system takes it as a name, without a suffix: what some do not
    take becomes `-`, at most 100 bytes. With `ascii`, so does all that is not ASCII. */
void rl_documents_name(const RlForm *form, bool ascii, RlText *name);

/** Fits and draws the sheet, and keeps it in the folder as `Title.pdf`, or `Title 2.pdf` up to 99
    where that is taken: nothing is written over. `said` gets where it lies, or what is wrong and
   the way out. True if it lies there, whole. Any thread that may draw; `sheet` is its own. */
bool rl_documents_keep(const char *folder, RlSheet *sheet, RlText *said);

#endif
