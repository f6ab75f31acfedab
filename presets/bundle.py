#!/usr/bin/env python3
# SPDX-License-Identifier: ISC
"""Turns charts into LV2 presets: bundle.py OUTDIR CHART...

Writes OUTDIR/presets.ttl, one pset:Preset a chart, and OUTDIR/presets-manifest.ttl, the lines
that manifest.ttl needs so that hosts find them. A preset is `urn:reedlamp:preset:` and the
chart's file name without .chart. Its label says what a player chooses by: title, form, key and
lead-in; the form is what stands before the colon in the chart's opening comment, all else is read
in its header. Its comment is the opening comment. It holds chart, song_key and count_by and nothing of the player's own.
"""
import re
import sys
from pathlib import Path

# One preset serves both: lilv finds it from either plugin, and both have the two symbols.
PLUGINS = ("urn:reedlamp:plugin", "urn:reedlamp:mono")
AS_THE_CHART_SAYS = 12  # song_key
# count_by of the charts whose meter changes on the way; 0 (one DAW bar, one bar of the form) for all others.
COUNT_BY = {
    "crooked-blues": 1,  # its 2/4 bar would be stretched over a whole bar of a DAW that stays in 4/4: count beats
}
FIRST = "twelve-bar"  # hosts sort presets by label: its form leads, with its article, so that it comes before all titles
CHART_RULES = 2  # so that a host does not take it for an older session's
CHART_BYTES = 16 * 1024  # as core/chart/CHART.md has it

PREFIXES = """\
@prefix lv2: <http://lv2plug.in/ns/lv2core#> .
@prefix pset: <http://lv2plug.in/ns/ext/presets#> .
@prefix rdfs: <http://www.w3.org/2000/01/rdf-schema#> .
"""
STATE_PREFIX = "@prefix state: <http://lv2plug.in/ns/ext/state#> .\n"


def quoted(text):
    """Any text as a Turtle long string; quotes are escaped one by one, so it may end in one."""
    text = text.replace("\\", "\\\\").replace('"', '\\"').replace("\r", "\\r")
    return f'"""{text}"""'


def read_chart(path):
    """The chart's text; a ValueError says what is wrong with it and the way out."""
    data = path.read_bytes()
    if len(data) > CHART_BYTES:
        raise ValueError(f"{len(data)} bytes; a chart holds at most {CHART_BYTES}: shorten it")
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as e:
        raise ValueError(f"byte {e.start} is not UTF-8; save the file as UTF-8") from e
    stray = re.search(r"[\x00-\x08\x0b\x0c\x0e-\x1f\x7f]", text)
    if stray:
        line = text.count("\n", 0, stray.start()) + 1
        raise ValueError(f"line {line}: a control character ({ord(stray[0]):#04x}); delete it")
    return text


def header(text, name):
    found = re.search(rf"^[ \t]*{name}:[ \t]*(.*?)[ \t\r]*$", text, re.MULTILINE)
    return found[1] if found else ""


def opening_comment(text):
    lines = re.match(r"(?:[ \t]*#.*\n?)*", text)[0].splitlines()
    return " ".join(line.strip().lstrip("#").strip() for line in lines)


def label(stem, text):
    """Title, form, key and lead-in; a ValueError where the chart does not say its form."""
    title, key, lead = header(text, "title"), header(text, "key"), header(text, "lead-in").split()
    form, colon, _ = opening_comment(text).partition(":")
    if not colon or len(form) > 60:
        raise ValueError("hosts show presets by title, form and key; begin the chart with a comment whose words before a"
                         " colon name its form, like `# Slow 12/8 blues: four wide beats`")
    if stem == FIRST:
        return f"{form} in {key}: {title}"
    form = re.sub(r"^(A|An|The) ", "", form)
    form = form if re.match(r"[A-Z][a-z]+ian ", form) else form[0].lower() + form[1:]
    bars = lead and f", {lead[0]} {'bar' if lead[0] == '1' else 'bars'} lead-in" or ""
    return f"{title}, {form} in {key}{bars}"


def meters(text):
    """All meters the chart names: its header's, and those at the head of a bar."""
    bars = "\n".join(line for line in text.splitlines() if "|" in line and not line.lstrip().startswith("#"))
    return {header(text, "meter") or "4/4", *re.findall(r"(?:^|[|:\s])(\d+/\d+)(?=\s)", bars)}


def preset(path):
    """Its title, its lines for the manifest, and the whole of it; a ValueError when the chart can't be one."""
    stem = path.stem
    if path.suffix != ".chart" or not re.fullmatch(r"[a-z0-9]+(-[a-z0-9]+)*", stem):
        raise ValueError("a preset's URI is made of its file name; name it like slow-blues.chart")
    text = read_chart(path)
    title = header(text, "title")
    if not title:
        raise ValueError("no title, and hosts show presets by title; add a line `title: ...`")
    if len(meters(text)) > 1 and stem not in COUNT_BY:
        raise ValueError(f"its meter changes ({', '.join(sorted(meters(text)))}); say in COUNT_BY of bundle.py"
                         " whether the DAW's bars (0) or its beats (1) lead")
    about = opening_comment(text)
    head = (f"<urn:reedlamp:preset:{stem}>\n\ta pset:Preset ;\n"
            f"\tlv2:appliesTo {' , '.join(f'<{p}>' for p in PLUGINS)} ;\n"
            f"\trdfs:label {quoted(label(stem, text))} ;\n" + (f"\trdfs:comment {quoted(about)} ;\n" if about else ""))
    ports = " , ".join(f'[\n\t\tlv2:symbol "{symbol}" ;\n\t\tpset:value {float(value)}\n\t]' for symbol, value in
                       (("song_key", AS_THE_CHART_SAYS), ("count_by", COUNT_BY.get(stem, 0))))
    body = f"\tlv2:port {ports} ;\n\tstate:state [\n\t\t<urn:reedlamp:chart> {quoted(text)} ;\n\t\t<urn:reedlamp:chart_rules> {CHART_RULES}\n\t] .\n"
    return title, head + "\trdfs:seeAlso <presets.ttl> .\n", head + body


def main(args):
    if len(args) < 2:
        return "usage: bundle.py OUTDIR CHART..."
    outdir, seen = Path(args[0]), {}
    manifest, presets = [PREFIXES], [PREFIXES + STATE_PREFIX]
    for path in map(Path, args[1:]):
        try:
            title, entry, whole = preset(path)
        except OSError as e:
            return f"{path}: {e.strerror}; give the path of a chart"
        except ValueError as e:
            return f"{path}: {e}"
        for name in (f"{path.stem}.chart", title):
            if name in seen:
                return f"{path}: {seen[name]} is called `{name}` too; give one of them another name"
            seen[name] = path
        manifest.append(entry)
        presets.append(whole)
    try:
        outdir.mkdir(parents=True, exist_ok=True)
        for name, parts in (("presets.ttl", presets), ("presets-manifest.ttl", manifest)):
            (outdir / name).write_text("\n".join(parts), encoding="utf-8", newline="\n")
    except OSError as e:
        return f"{e.filename}: {e.strerror}; give a folder that can be written to"
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
