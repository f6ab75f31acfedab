#!/usr/bin/env python3
# SPDX-License-Identifier: ISC
"""Writes the files of the page as C. Usage: embed.py OUTPUT FILE...   index.html becomes the page itself, with its style
sheet inside, so that it is painted after one response; plain.html becomes what stands before and behind the body of a page
that the server makes. Comments and indentation do not go over the network."""
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
BODY = b"<body>\n"
LINK = '<link rel="stylesheet" href="%s.css">'

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


def hash_of(style: bytes) -> str:
    """What the Content-Security-Policy calls a style sheet."""
    return "sha256-" + base64.b64encode(hashlib.sha256(style).digest()).decode()


def styled(page: bytes, name: str, style: bytes) -> bytes:
    """A page with its style sheet inside."""
    link = (LINK % name).encode()
    if link not in page:
        sys.exit(f"a page has no {link.decode()}")
    return page.replace(link, b"<style>" + style + b"</style>")


def plain(page: bytes, style: bytes) -> dict[str, bytes]:
    """Texts: what stands before and behind a body, and the name of the style sheet."""
    head, foot = styled(page, "plain", style).split(BODY)
    return {"plain_head": head + BODY, "plain_foot": foot, "plain_style_hash": hash_of(style).encode()}


def read(names: list[str]) -> tuple[dict[str, bytes], dict[str, bytes]]:
    """The files as they are served, and texts for pages that are made."""
    files = {path.name: slim(path) for path in map(Path, names)}
    style = files.pop("page.css")
    texts = plain(files.pop("plain.html"), files.pop("plain.css")) | {"style_hash": hash_of(style).encode()}
    files["index.html"] = styled(files["index.html"], "page", style)
    return files, texts


def main() -> None:
    output, (files, texts) = sys.argv[1], read(sys.argv[2:])
    arrays, entries = [], []
    for n, (name, data) in enumerate(sorted(files.items())):
        where = "/" if name == "index.html" else f"/{name}"
        etag = hashlib.sha256(data).hexdigest()[:20]
        arrays.append(f"static const unsigned char bytes_{n}[] = {{\n{table(data)}}};\n")
        entries.append(f'  {{"{where}", "{TYPES[Path(name).suffix]}", "\\"{etag}\\"", bytes_{n}, sizeof(bytes_{n})}},\n')
    Path(output).write_text('#include "ui/page/files.h"\n\n' + "".join(arrays) + "\nconst RlFile rl_files[] = {\n" +
                            "".join(entries) + "};\n" + f"const int rl_files_count = {len(entries)};\n" +
                            "".join(f"const char rl_files_{name}[] = {{\n{table(text)},0}};\n" for name, text in texts.items()))


main()
