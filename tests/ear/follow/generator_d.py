# SPDX-License-Identifier: ISC
"""Generator D, kept apart: see generator_e.py."""
from pathlib import Path

from generator_e import lettered


def case(number: int, build: Path, folder: Path) -> None:
    lettered("d", number, build, folder)
