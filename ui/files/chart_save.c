/* SPDX-License-Identifier: ISC */
#define _DEFAULT_SOURCE /* realpath() */
#include "ui/files/chart_save.h"

#include <errno.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

static void
fail(RlChartSave *const save, const int error)
{
  RlText why  = rl_text_in(save->why, sizeof(save->why));
  save->saved = RL_SAVE_FAILED;
  rl_file_why(error, &why);
}

/* Whoever may write into the folder could replace a file that is not to be written: it is asked for
   itself, of root too. */
static int
may_write(const char *const path, const struct stat *const file)
{
  return !S_ISREG(file->st_mode)    ? S_ISDIR(file->st_mode) ? EISDIR : EINVAL
         : !(file->st_mode & 0222U) ? EROFS
         : access(path, W_OK)       ? errno == EACCES ? EROFS : errno
                                    : 0;
}

static RlSlice
title_of(const RlChartText *const text, RlForm *const form)
{
  RlChartError error;
  return rl_chart_read((RlSlice){text->text, text->length}, form, &error)
           ? rl_slice_trim(rl_form_text(form, form->title))
           : rl_slice("");
}

/* Do both say how they are called, and differently? */
static bool
titles_differ(const RlChartText *const a, const RlChartText *const b)
{
  RlForm *const forms = (RlForm *)malloc(2 * sizeof(RlForm));
  bool          other = false;
  if (forms) {
    const RlSlice first  = title_of(a, &forms[0]);
    const RlSlice second = title_of(b, &forms[1]);
    other = first.length != second.length || memcmp(first.at, second.at, first.length) != 0;
  }
  free(forms);
  return other;
}

/* May it be written as things are? RL_SAVE_DONE means that it may. */
static RlSaved
judge(RlChartSave *const save, const bool there)
{
  if (!there) {
    return save->expects ? RL_SAVE_GONE : RL_SAVE_DONE;
  }
  const int why = rl_chart_text_read(save->path, &save->found);
  if (why) {
    fail(save, why);
    return RL_SAVE_FAILED;
  }
  return !save->expects                                                    ? RL_SAVE_THERE
         : !rl_chart_text_is(&save->found, &save->expected)                ? RL_SAVE_CHANGED
         : !save->other_titles && titles_differ(&save->found, &save->text) ? RL_SAVE_OTHER
                                                                           : RL_SAVE_DONE;
}

/* The charts that come along are not the player's to write over. */
static bool
is_preset(const RlChartSave *const save, const char *const path)
{
  char *const real = save->presets[0] ? realpath(save->presets, NULL) : NULL;
  const bool  is   = real && rl_path_lies_in(path, real);
  free(real);
  return is;
}

static void
refuse(RlChartSave *const save, const char *const why)
{
  RlText words = rl_text_in(save->why, sizeof(save->why));
  save->saved  = RL_SAVE_FAILED;
  rl_text_add(&words, why);
}

/* `file` is what was there when the path was looked at; `st_nlink` 0: nothing. */
static void
write_into(RlChartSave *const save, const char *const path, const struct stat *const file)
{
  const bool there = file->st_nlink > 0;
  const int  may   = there ? may_write(path, file) : 0;
  if (is_preset(save, path)) {
    refuse(save, "it comes along with Reedlamp; save it in a folder of your own");
    return;
  }
  if (may) {
    fail(save, may);
    return;
  }
  save->saved = judge(save, there);
  if (save->saved == RL_SAVE_DONE) {
    const int why = rl_file_replace(path, (RlSlice){save->text.text, save->text.length}, file);
    if (why == EBUSY) {
      save->saved = there ? RL_SAVE_CHANGED : RL_SAVE_THERE;
      rl_chart_text_read(path, &save->found);
    } else if (why == ENOENT) {
      refuse(save, "its folder is not there; save it in another one");
    } else if (why == EPERM && there) {
      refuse(save, "it belongs to somebody else, and saving would make it yours; save it under "
                   "another name");
    } else if (why) {
      fail(save, why);
    }
  }
}

/* A new file's folder is made: the player's own may not be there yet. 0, or an errno. */
static int
folder_make(const char *const path)
{
  char              folder[RL_PATH_SIZE];
  const char *const slash = strrchr(path, '/');
  RlText            text  = rl_text_in(folder, sizeof(folder));
  rl_text_add_slice(&text, (RlSlice){path, slash ? (size_t)(slash - path) : 0});
  return rl_folders_make(folder);
}

void
rl_chart_save(RlChartSave *const save)
{
  char *const real = realpath(save->path, NULL); /* so that a link stays one */
  const char *path = real ? real : save->path;
  struct stat file = {0};
  int         why  = stat(path, &file) ? errno : 0;
  if (why == ENOENT || why == ENOTDIR) {
    file = (struct stat){0};
    why  = save->expects || !save->makes_folder ? 0 : folder_make(path);
  }
  if (why) {
    fail(save, why);
  } else {
    write_into(save, path, &file);
  }
  free(real);
}

static void
save_work(void *const data, const RlBackground *const background)
{
  (void)background;
  rl_chart_save((RlChartSave *)data);
}

RlBackground *
rl_chart_save_begin(RlChartSave *const save)
{
  return rl_file_work_begin(save_work, free, save);
}
