#!/usr/bin/env python3
# SPDX-License-Identifier: ISC
"""A manual page says all that its program's --help does, names no other option, and groff has nothing to say about it.
Usage: check_man.py PAGE PROGRAM. Ends with 77, skipped, where man or groff is not installed."""
import os
import re
import shutil
import subprocess
import sys

OPTION = re.compile(r"(?<![\w-])--?[a-z][a-z-]*")


def plain(page: str) -> str:
    """The page as text, without the overstriking and colours that make it bold."""
    shown = subprocess.run(["man", "-l", page], capture_output=True, text=True, check=True,
                           env={**os.environ, "MANWIDTH": "200", "LC_ALL": "C"}).stdout
    return re.sub(r".\x08|\x1b\[[\d;]*m", "", shown)


def main() -> int:
    page, program = sys.argv[1:]
    missing = [tool for tool in ("man", "groff", "lexgrog") if not shutil.which(tool)]
    if missing:
        print(f"{', '.join(missing)}: not installed (Debian: man-db, groff)")
        return 77
    text = plain(page)
    told = set(OPTION.findall(subprocess.run([program, "--help"], capture_output=True, text=True, check=True).stdout))
    named = {option for line in text.splitlines() if line.startswith("       -") for option in OPTION.findall(line)}
    said = [f"{option} of --help is not in it" for option in sorted(told) if option not in text]
    said += [f"{option} is no option of the program's" for option in sorted(named - told - {"-h", "--help"})]
    if len(told) < 4 or len(named) < 4:
        said.append(f"only {len(told)} options in --help and {len(named)} in the page")
    for lint in (["groff", "-man", "-ww", "-Tutf8", page], ["man", "-l", "--warnings", page]):
        said += subprocess.run(lint, capture_output=True, text=True, check=True,
                               env={**os.environ, "LC_ALL": "C"}).stderr.splitlines()
    if subprocess.run(["lexgrog", page], capture_output=True, check=False).returncode:
        said.append("its NAME is not one that whatis finds")
    print("\n".join(said) or "the page says all")
    return 1 if said else 0


sys.exit(main())
