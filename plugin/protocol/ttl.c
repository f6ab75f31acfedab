/* SPDX-License-Identifier: ISC */
/* Writes reedlamp.ttl from the tables of ports and properties, at build time, so that Turtle and
   code cannot differ. */
#include "plugin/protocol/ports.h"
#include "plugin/protocol/properties.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static const char head[] = "@prefix atom: <http://lv2plug.in/ns/ext/atom#> .\n"
                           "@prefix doap: <http://usefulinc.com/ns/doap#> .\n"
                           "@prefix foaf: <http://xmlns.com/foaf/0.1/> .\n"
                           "@prefix lv2: <http://lv2plug.in/ns/lv2core#> .\n"
                           "@prefix midi: <http://lv2plug.in/ns/ext/midi#> .\n"
                           "@prefix opts: <http://lv2plug.in/ns/ext/options#> .\n"
                           "@prefix patch: <http://lv2plug.in/ns/ext/patch#> .\n"
                           "@prefix pg: <http://lv2plug.in/ns/ext/port-groups#> .\n"
                           "@prefix pprops: <http://lv2plug.in/ns/ext/port-props#> .\n"
                           "@prefix rdf: <http://www.w3.org/1999/02/22-rdf-syntax-ns#> .\n"
                           "@prefix rdfs: <http://www.w3.org/2000/01/rdf-schema#> .\n"
                           "@prefix rl: <urn:reedlamp:> .\n"
                           "@prefix rsz: <http://lv2plug.in/ns/ext/resize-port#> .\n"
                           "@prefix state: <http://lv2plug.in/ns/ext/state#> .\n"
                           "@prefix time: <http://lv2plug.in/ns/ext/time#> .\n"
                           "@prefix units: <http://lv2plug.in/ns/extensions/units#> .\n"
                           "@prefix urid: <http://lv2plug.in/ns/ext/urid#> .\n"
                           "@prefix work: <http://lv2plug.in/ns/ext/worker#> .\n\n";

static const char groups[] =
  "rl:track_in\n\ta pg:StereoGroup , pg:InputGroup ;\n\tlv2:name \"Track\" ;\n"
  "\tlv2:symbol \"track_in\" .\n\n"
  "rl:track_out\n\ta pg:StereoGroup , pg:OutputGroup ;\n"
  "\tlv2:name \"Track\" ;\n\tlv2:symbol \"track_out\" ;\n"
  "\tpg:source rl:track_in .\n\n"
  "rl:harp_side\n\ta pg:MonoGroup , pg:InputGroup ;\n"
  "\tlv2:name \"Harp microphone\" ;\n\tlv2:symbol \"harp_side\" ;\n"
  "\tpg:sideChainOf rl:track_in .\n\n";

static const char plugin_head[] =
  "<urn:reedlamp:%s>\n\ta lv2:AnalyserPlugin , lv2:Plugin ;\n"
  "\tdoap:name \"%s\" ;\n\tdoap:license <http://opensource.org/licenses/isc> ;\n"
  "\tlv2:project [ a doap:Project ; doap:name \"Reedlamp\" ;\n"
  "\t\tdoap:maintainer [ foaf:name \"the Reedlamp authors\" ] ] ;\n"
  "\trdfs:comment \"Follows the host's bars through a chord chart and lights the harmonica holes "
  "worth "
  "playing.\" ;\n"
  "\tlv2:microVersion " RL_VERSION_MICRO " ;\n\tlv2:minorVersion " RL_VERSION_MINOR " ;\n"
  "%s"
  "\tlv2:optionalFeature work:schedule , lv2:hardRTCapable , "
  "state:threadSafeRestore ;\n"
  "\tlv2:extensionData state:interface , work:interface ;\n";

static const char *const kinds[] = {
  [RL_KIND_ATOM_IN]   = "lv2:InputPort , atom:AtomPort",
  [RL_KIND_ATOM_OUT]  = "lv2:OutputPort , atom:AtomPort",
  [RL_KIND_AUDIO_IN]  = "lv2:InputPort , lv2:AudioPort",
  [RL_KIND_AUDIO_OUT] = "lv2:OutputPort , lv2:AudioPort",
  [RL_KIND_IN]        = "lv2:InputPort , lv2:ControlPort",
  [RL_KIND_OUT]       = "lv2:OutputPort , lv2:ControlPort",
};

static const struct {
  unsigned    flag;
  const char *property;
} flags[] = {
  {RL_TOGGLED, "lv2:toggled"},  {RL_TRIGGER, "pprops:trigger"},
  {RL_INTEGER, "lv2:integer"},  {RL_OPTIONAL, "lv2:connectionOptional"},
  {RL_SIDE, "lv2:isSideChain"},
};

static void
properties_write(void)
{
  for (int i = 0; i < RL_PROPERTIES; ++i) {
    const RlPropertyInfo *const p = &rl_properties[i];
    if (p->label) {
      printf("rl:%s\n\ta lv2:Parameter ;\n\trdfs:label \"%s\" ;\n\trdfs:comment \"%s\" ;\n"
             "\trdfs:range atom:%s .\n\n",
             p->symbol, p->label, p->comment, p->path ? "Path" : "String");
    }
  }
  /* not a host's to set: presets and sessions say by it how their chart is read */
  printf("rl:chart_rules\n\ta rdf:Property ;\n\trdfs:label \"Chart rules\" ;\n"
         "\trdfs:comment \"The rules that a saved chart is read under.\" .\n\n");
}

/* One that can be written can be read too, but the Turtle need not say so: a host that sets it
   knows it. */
static void
patch_write(const char *const predicate, const bool writable)
{
  const char *before = "";
  printf("\tpatch:%s ", predicate);
  for (int i = 0; i < RL_PROPERTIES; ++i) {
    if (rl_properties[i].label && !(rl_properties[i].access & RL_WRITE) == !writable) {
      printf("%srl:%s", before, rl_properties[i].symbol);
      before = " , ";
    }
  }
  puts(" ;");
}

static void
points_write(const RlPortInfo *const port)
{
  if (!port->points) {
    return;
  }
  printf(" ;\n\t\tlv2:portProperty lv2:enumeration");
  for (int i = 0; port->points[i]; ++i) {
    printf(" ;\n\t\tlv2:scalePoint [ rdfs:label \"%s\" ; rdf:value %d ]", port->points[i],
           (int)port->low + i);
  }
}

static void
port_write(const RlPortInfo *const port, const int index, const RlFace face)
{
  const bool controls = port->kind == RL_KIND_IN || port->kind == RL_KIND_OUT;
  const int  decimals = port->flags & RL_INTEGER ? 0 : 1;
  printf(
    "\tlv2:port [\n\t\ta %s ;\n\t\tlv2:index %d ;\n\t\tlv2:symbol \"%s\" ;\n\t\tlv2:name \"%s\"",
    kinds[port->kind], index, port->symbol, port->name);
  for (unsigned i = 0; i < sizeof(flags) / sizeof(flags[0]); ++i) {
    if (port->flags & flags[i].flag) {
      printf(" ;\n\t\tlv2:portProperty %s", flags[i].property);
    }
  }
  if (controls) {
    printf(" ;\n\t\tlv2:minimum %.*f", decimals, (double)port->low);
    printf(" ;\n\t\tlv2:maximum %.*f", decimals, (double)port->high);
    printf(" ;\n\t\tlv2:default %.*f", decimals, (double)port->standard);
  }
  points_write(port);
  const bool audio = port->kind == RL_KIND_AUDIO_IN || port->kind == RL_KIND_AUDIO_OUT;
  if (port->more && (face == RL_FACE_STEREO || !audio)) {
    printf(" ;\n\t\t%s", port->more);
  }
  printf(" ;\n\t\trdfs:comment \"%s\"\n\t]", port->comment);
}

/* What has no atom ports needs no URIs. */
static void
plugin_write(const RlFace face)
{
  static const struct {
    const char *uri, *name;
  } plugins[RL_FACES] = {
    [RL_FACE_STEREO] = {"plugin", "Reedlamp"},
    [RL_FACE_MONO]   = {"mono", "Reedlamp mono"},
    [RL_FACE_PLAIN]  = {"plain", "Reedlamp plain"},
  };
  const bool plain = face == RL_FACE_PLAIN;
  printf(plugin_head, plugins[face].uri, plugins[face].name,
         plain ? "" : "\tlv2:requiredFeature urid:map ;\n");
  if (!plain) {
    patch_write("writable", true);
    patch_write("readable", false);
  }
  for (int i = 0; rl_port_at((uint32_t)i, face) < RL_PORTS; ++i) {
    port_write(&rl_ports[rl_port_at((uint32_t)i, face)], i, face);
    printf(rl_port_at((uint32_t)i + 1, face) < RL_PORTS ? " ;\n" : " .\n\n");
  }
}

int
main(const int argc, char **const argv)
{
  const RlFace face = argc > 1 && !strcmp(argv[1], "mono")    ? RL_FACE_MONO
                      : argc > 1 && !strcmp(argv[1], "plain") ? RL_FACE_PLAIN
                                                              : RL_FACE_STEREO;
  fputs(head, stdout);
  properties_write();
  fputs(face == RL_FACE_STEREO ? groups : "", stdout);
  plugin_write(face);
  return ferror(stdout) ? EXIT_FAILURE : EXIT_SUCCESS;
}
