/* SPDX-License-Identifier: ISC */
/* patch:Set and patch:Get, as atoms: read from whoever may have written them, and forged. Source:
   the LV2 patch vocabulary (http://lv2plug.in/ns/ext/patch). Real-time safe. */
#ifndef RL_PLUGIN_PROTOCOL_PATCH_H
#define RL_PLUGIN_PROTOCOL_PATCH_H

#include "plugin/protocol/atoms.h"
#include "plugin/protocol/properties.h"

#include <lv2/atom/forge.h>

/** A patch:Set or patch:Get as it was read. */
typedef struct {
  LV2_URID subject;  /**< 0: not said */
  bool     named;    /**< a property is named */
  LV2_URID property; /**< 0: not said, or not as a URID */
  RlAtom   value;    /**< `body` NULL: none */
} RlPatch;

/** Reads the properties of the object (as rl_object() begins them). */
RlPatch rl_patch_read(RlWalk walk, const RlUris *uris);

/** Is it meant for this plugin? One without a subject is. */
bool rl_patch_ours(const RlPatch *patch, const RlUris *uris);

/** A value to be set. */
typedef struct {
  LV2_URID    subject; /**< 0: none is said */
  LV2_URID    property, type;
  const char *text; /**< NUL-terminated behind `length` bytes */
  uint32_t    length;
} RlPatchValue;

/** A text property of this plugin as a value. */
RlPatchValue rl_patch_value(RlProperty property, const char *text, const RlUris *uris);

/** Forges a patch:Set, a patch:Get of one property (0: of all). False if there was no room. */
bool rl_patch_set(LV2_Atom_Forge *forge, const RlUris *uris, const RlPatchValue *value);
bool rl_patch_get(LV2_Atom_Forge *forge, const RlUris *uris, LV2_URID property);

/** Bytes that rl_patch_set() takes besides the text itself, at most. */
enum { RL_PATCH_SET_BYTES = 128 };

#endif
