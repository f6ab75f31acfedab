#!/usr/bin/python3
# SPDX-License-Identifier: ISC
"""How well scoops are told: scoops.py BUILD FOLDER develop|seen|kept [FIRST [LAST]]; marks.py says what its columns are."""
import sys

from marks import asked

WORTH = 80, 0.06  # cents, seconds: a note that rises less counts neither way

asked(sys.argv[1:], "scoops", 5, WORTH)
