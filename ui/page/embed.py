#!/usr/bin/env python3
"""Writes the files of the page as C. Usage: embed.py OUTPUT FILE...   index.html becomes the page itself; an empty
file (a font that could not be made) is left out."""
import hashlib
import sys
from pathlib import Path

TYPES = {
    ".html": "text/html; charset=utf-8",
    ".css": "text/css; charset=utf-8",
    ".js": "text/javascript; charset=utf-8",
    ".wasm": "application/wasm",
    ".svg": "image/svg+xml",
    ".woff2": "font/woff2",
}


def table(data: bytes) -> str:
    return ",\n".join(",".join(map(str, data[i:i + 32])) for i in range(0, len(data), 32))


def main() -> None:
    output, names = sys.argv[1], sys.argv[2:]
    arrays, entries = [], []
    for n, path in enumerate(sorted(map(Path, names), key=lambda p: p.name)):
        data = path.read_bytes()
        if not data:
            continue
        where = "/" if path.name == "index.html" else f"/{path.name}"
        etag = hashlib.sha256(data).hexdigest()[:20]
        arrays.append(f"static const unsigned char bytes_{n}[] = {{\n{table(data)}}};\n")
        entries.append(f'  {{"{where}", "{TYPES[path.suffix]}", "\\"{etag}\\"", bytes_{n}, sizeof(bytes_{n})}},\n')
    Path(output).write_text('#include "files.h"\n\n' + "".join(arrays) + "\nconst RlFile rl_files[] = {\n" +
                            "".join(entries) + "};\n" + f"const int rl_files_count = {len(entries)};\n")


main()
