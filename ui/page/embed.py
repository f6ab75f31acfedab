#!/usr/bin/env python3
# SPDX-License-Identifier: ISC
"""Writes the files of the page as C. Usage: embed.py OUTPUT FILE...   index.html becomes the page itself, with its style
sheet inside, so that it is painted after one response. Comments and indentation do not go over the network."""
import base64
import hashlib
import re
import sys
from pathlib import Path

TYPES = {
    ".html": "text/html; charset=utf-8",
    ".js": "text/javascript; charset=utf-8",
    ".wasm": "application/wasm",
    ".svg": "image/svg+xml",
    ".woff2": "font/woff2",
}
LINK = '<link rel="stylesheet" href="page.css">'

# What is kept as it is (strings, regular expressions), and what is left out. A template inside another counts as two and what
# lies between; that keeps too much rather than too little.
KEPT = r"""(?P<kept>'(?:\\.|[^'\\\n])*'|"(?:\\.|[^"\\\n])*"|`(?:\\.|[^`\\])*`"""
REGEX = r"""|(?:(?<=[(,=:[!&|?{};>])|(?<=return))[ ]?/(?![*/])(?:\\.|\[(?:\\.|[^\]\\\n])*\]|[^/\\\n\[])+/)"""
LEFT_OUT = {
    ".js": re.compile(KEPT + REGEX + r"|/\*.*?\*/|//[^\n]*|\s*(?P<line>\n)\s*", re.S),
    ".css": re.compile(r"""(?P<kept>"[^"\n]*"|'[^'\n]*')|/\*.*?\*/|\s*(?P<line>\n)\s*""", re.S),
    ".html": re.compile(r"""(?P<kept>"[^"\n]*")|<!--.*?-->|\s*(?P<line>\n)\s*""", re.S),
}


def slim(path: Path) -> bytes:
    """What the browser needs of a file."""
    if path.suffix not in LEFT_OUT:
        return path.read_bytes()
    bare = LEFT_OUT[path.suffix].sub(lambda found: found["kept"] or found["line"] or "", path.read_text())
    return re.sub(r"\n{2,}", "\n", bare).strip().encode() + b"\n"


def table(data: bytes) -> str:
    return ",\n".join(",".join(map(str, data[i:i + 32])) for i in range(0, len(data), 32))


def read(names: list[str]) -> tuple[dict[str, bytes], str]:
    """The files as they are served, and what the Content-Security-Policy calls the style sheet."""
    files = {path.name: slim(path) for path in map(Path, names)}
    style = files.pop("page.css").decode()
    page = files["index.html"].decode()
    if LINK not in page:
        sys.exit(f"index.html has no {LINK}")
    files["index.html"] = page.replace(LINK, f"<style>{style}</style>").encode()
    return files, "sha256-" + base64.b64encode(hashlib.sha256(style.encode()).digest()).decode()


def main() -> None:
    output, (files, style) = sys.argv[1], read(sys.argv[2:])
    arrays, entries = [], []
    for n, (name, data) in enumerate(sorted(files.items())):
        where = "/" if name == "index.html" else f"/{name}"
        etag = hashlib.sha256(data).hexdigest()[:20]
        arrays.append(f"static const unsigned char bytes_{n}[] = {{\n{table(data)}}};\n")
        entries.append(f'  {{"{where}", "{TYPES[Path(name).suffix]}", "\\"{etag}\\"", bytes_{n}, sizeof(bytes_{n})}},\n')
    Path(output).write_text('#include "ui/page/files.h"\n\n' + "".join(arrays) + "\nconst RlFile rl_files[] = {\n" +
                            "".join(entries) + "};\n" + f"const int rl_files_count = {len(entries)};\n" +
                            f'const char rl_files_style_hash[] = "{style}";\n')


main()
