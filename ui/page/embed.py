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

LEFT_OUT = re.compile(r"""(?P<kept>"[^"\n]*")|<!--.*?-->|\s*(?P<line>\n)\s*""", re.S)  # of HTML

# What scripts and style sheets are made of. A slash begins a regular expression where a value may begin.
SCRIPT = re.compile(r"""'(?:\\.|[^'\\\n])*'|"(?:\\.|[^"\\\n])*"|/\*.*?\*/|//[^\n]*|\s+|[\w$]+|.""", re.S)
REGEX = re.compile(r"/(?:\\.|\[(?:\\.|[^\]\\\n])*\]|[^/\\\n\[])+/\w*")
STYLE = re.compile(r"""(?P<kept>"[^"\n]*"|'[^'\n]*')|/\*.*?\*/|\s*(?P<mark>[{},]|;(?!\s*\}))\s*|;(?=\s*\})|(?P<colon>:)\s+|(?P<space>\s+)""",
                   re.S)
VALUE_AFTER = set("(,=:[!&|?{};>")


class Script:
    """A script without comments and without the blanks and line ends that it can do without."""

    def __init__(self, text: str) -> None:
        self.text, self.at, self.out, self.blank = text, 0, [], ""

    def put(self, token: str) -> None:
        last, first = self.out[-1][-1] if self.out else "", token[0]
        words = [x.isalnum() or x in tuple("_$") for x in (last, first)]
        line = "\n" in self.blank and last and last not in ";{,([" and first not in "})].,?:&|="
        if line or (self.blank and (all(words) or last == first or "/" in (last, first))):
            self.out.append("\n" if line else " ")
        self.blank = ""
        self.out.append(token)

    def template(self) -> None:
        """From behind its first quote to behind its last."""
        text = "`"
        while self.text[self.at] != "`":
            size = 2 if self.text[self.at] == "\\" or self.text.startswith("${", self.at) else 1
            text += self.text[self.at:self.at + size]
            self.at += size
            if text.endswith("${") and size == 2:
                inner = Script(self.text)
                inner.at = self.at
                text += inner.code() + "}"
                self.at = inner.at
        self.at += 1
        self.put(text + "`")

    def code(self) -> str:
        """To the end, or behind the brace that nobody here has opened."""
        depth = 0
        while self.at < len(self.text):
            token = SCRIPT.match(self.text, self.at).group()
            before = self.out[-1] if self.out else "("
            regex = REGEX.match(self.text, self.at) if before[-1] in VALUE_AFTER or before == "return" else None
            if token == "/" and regex:
                token = regex.group()
            self.at += len(token)
            depth += {"{": 1, "}": -1}.get(token, 0)
            if depth < 0:
                break
            if token.isspace() or token.startswith(("/*", "//")):
                self.blank += token if token.isspace() else " "
            elif token == "`":
                self.template()
            else:
                self.put(token)
        return "".join(self.out)


def slim(path: Path) -> bytes:
    """What the browser needs of a file."""
    text = path.read_text() if path.suffix in (".js", ".css", ".html") else ""
    if path.suffix == ".js":
        return Script(text).code().encode() + b"\n"
    if path.suffix == ".css":
        return STYLE.sub(lambda f: f["kept"] or f["mark"] or f["colon"] or (f["space"] and " ") or "", text).strip().encode()
    if not text:
        return path.read_bytes()
    bare = LEFT_OUT.sub(lambda found: found["kept"] or found["line"] or "", text)
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
