/* SPDX-License-Identifier: ISC */
#include "plugin/protocol/patch.h"

#include <string.h>

static LV2_URID
urid_in(const RlAtom *const atom, const RlUris *const uris)
{
  LV2_URID urid = 0;
  if (atom->type == uris->atom_URID && atom->size >= sizeof(urid)) {
    memcpy(&urid, atom->body, sizeof(urid));
  }
  return urid;
}

RlPatch
rl_patch_read(RlWalk walk, const RlUris *const uris)
{
  RlPatch  patch = {0};
  LV2_URID key;
  RlAtom   value;
  while (rl_property_next(&walk, &key, &value)) {
    if (key == uris->patch_subject) {
      patch.subject = urid_in(&value, uris);
    } else if (key == uris->patch_property) {
      patch.named    = true;
      patch.property = urid_in(&value, uris);
    } else if (key == uris->patch_value) {
      patch.value = value;
    }
  }
  return patch;
}

bool
rl_patch_ours(const RlPatch *const patch, const RlUris *const uris)
{
  return !patch->subject || patch->subject == uris->own;
}

RlPatchValue
rl_patch_value(const RlProperty property, const char *const text, const RlUris *const uris)
{
  return (RlPatchValue){uris->own, rl_property_urid(property, uris),
                        rl_property_type(property, uris), text, (uint32_t)strlen(text)};
}

bool
rl_patch_set(LV2_Atom_Forge *const forge, const RlUris *const uris, const RlPatchValue *const value)
{
  LV2_Atom_Forge_Frame object;
  lv2_atom_forge_object(forge, &object, 0, uris->patch_Set);
  if (value->subject) {
    lv2_atom_forge_key(forge, uris->patch_subject);
    lv2_atom_forge_urid(forge, value->subject);
  }
  lv2_atom_forge_key(forge, uris->patch_property);
  lv2_atom_forge_urid(forge, value->property);
  lv2_atom_forge_key(forge, uris->patch_value);
  const bool whole =
    lv2_atom_forge_typed_string(forge, value->type, value->text, value->length) != 0;
  lv2_atom_forge_pop(forge, &object);
  return whole;
}

bool
rl_patch_get(LV2_Atom_Forge *const forge, const RlUris *const uris, const LV2_URID property)
{
  LV2_Atom_Forge_Frame object;
  bool                 whole = lv2_atom_forge_object(forge, &object, 0, uris->patch_Get) != 0;
  if (property) {
    whole = lv2_atom_forge_key(forge, uris->patch_property) &&
            lv2_atom_forge_urid(forge, property) && whole;
  }
  lv2_atom_forge_pop(forge, &object);
  return whole;
}
