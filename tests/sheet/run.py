#!/usr/bin/env python3
# SPDX-License-Identifier: ISC
"""reedlamp-sheet from outside: what it writes as other programs read it, every error with its exit status, and files
that are there whole or not at all. Usage: run.py BUILD TOP [WORD...]   with WORDs only the tests that have one in their
name. Prints a line a test and the count (see ../counting.sh). With PICTURES=FOLDER the pictures are kept there; with
RENEW=1 the golden ones are written anew (look at each of them first)."""
import html
import os
import re
import resource
import shutil
import signal
import subprocess
import sys
import tempfile
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))
sys.dont_write_bytecode = True
import tally  # noqa: E402

BUILD, TOP = Path(sys.argv[1]).resolve(), Path(sys.argv[2]).resolve()
WORDS = sys.argv[3:]
SHEET = BUILD / "ui/paper/reedlamp-sheet"
COMPARE = BUILD / "tests/pictures/compare"
CHART = TOP / "presets/twelve-bar-slow-drag.chart"
PLAN = TOP / "presets/plans/ferry-street-slow-drag.plan"
TWO_PAGES = TOP / "presets/aaba.chart"
SONGS = {PLAN: CHART,
         TOP / "presets/plans/slack-tide-at-midnight.plan": TOP / "presets/slow-twelve-eight.chart",
         TOP / "tests/sheet/plans/choruses.plan": TOP / "presets/twelve-bar.chart",
         TOP / "tests/sheet/plans/waltz.plan": TOP / "presets/waltz.chart",
         TOP / "tests/sheet/plans/gospel.plan": TOP / "presets/gospel.chart",
         TOP / "tests/sheet/plans/crowded.plan": TOP / "presets/twelve-bar-jazz.chart"}
DONE, INPUT, USAGE, OUTPUT = range(4)


def run(*options, stdin=b"", **more):
    return subprocess.run([SHEET, *map(str, options)], input=stdin, stdout=subprocess.PIPE, stderr=subprocess.PIPE,
                          timeout=60, check=False, **more)


def demand(truth, what):
    if not truth:
        raise AssertionError(what)


def same(got, want):
    demand(got == want, f"{got!r}, not {want!r}")


def refused(end, said, *options, **more):
    """Ends with `end` and one line that is `said`; nothing on standard output."""
    ran = run(*options, **more)
    same((ran.returncode, ran.stderr.decode()), (end, f"reedlamp-sheet: {said}\n"))
    same(ran.stdout, b"")


def fine(*options, **more):
    ran = run(*options, **more)
    same((ran.returncode, ran.stderr), (DONE, b""))
    return ran


def pdf_text(pdf):
    return subprocess.run(["pdftotext", "-layout", pdf, "-"], capture_output=True, text=True, check=True).stdout


def only(where, *names):
    same(sorted(p.name for p in where.iterdir()), sorted(names))


# ---- what is on the sheet, as poppler reads it ----

def a_pdf_is_text(folder):
    fine(CHART, f"--plan={PLAN}", "--harp=C", "-o", folder / "a.pdf")
    text = pdf_text(folder / "a.pdf")
    for word in ("Ferry Street Slow Drag", "C harp, 2nd position", "G7", "Am7", "IV7", "Down the Steps", "answer", "2''",
                 "♭7", "♯11", "trip", "let", "&", "bars 1 3 4 7 11", "third, seventh", "Rest when you feel light-headed"):
        demand(word in text, f"{word!r} is not found")
    demand("♭♭" not in text, "a flat was written twice")


def the_figures_stand_in_their_order(folder):
    fine(CHART, f"--plan={PLAN}", "--harp=C", "-o", folder / "a.pdf")
    boxes = word_boxes(folder / "a.pdf")[0][2]
    eleven = next(b for b in boxes if b[0] == "11" and b[2] < 250)
    line = sorted((b for b in boxes if abs(b[2] - eleven[2]) < 3 and b[1] < 300), key=lambda b: b[1])
    same(" ".join(b[0] for b in line), "5 11 5 ♭3 R ♭7 5")  # Down the Steps over G7, then its last note over C7


def a_pdf_has_its_title(folder):
    fine(CHART, "-o", folder / "a.pdf")
    info = subprocess.run(["pdfinfo", folder / "a.pdf"], capture_output=True, text=True, check=True).stdout
    for line in (r"Title: +Ferry Street Slow Drag", r"Creator: +Reedlamp \d", r"Pages: +1", r"Page size: +595\.2\d+ x 841\.8"):
        demand(re.search(line, info), f"no {line}")
    fine(CHART, "--paper=letter", "-o", folder / "b.pdf")
    info = subprocess.run(["pdfinfo", folder / "b.pdf"], capture_output=True, text=True, check=True).stdout
    demand("612 x 792" in info, "not Letter")


def word_boxes(pdf):
    """For each page: width, height, [(word, x0, y0, x1, y1)]"""
    out = subprocess.run(["pdftotext", "-bbox", pdf, "-"], capture_output=True, text=True, check=True).stdout
    pages = []
    for page in re.finditer(r'<page width="([\d.]+)" height="([\d.]+)">(.*?)</page>', out, re.S):
        boxes = [(html.unescape(m[5]), *(float(m[i]) for i in range(1, 5))) for m in re.finditer(
            r'<word xMin="([-\d.]+)" yMin="([-\d.]+)" xMax="([-\d.]+)" yMax="([-\d.]+)">(.*?)</word>', page[3])]
        pages.append((float(page[1]), float(page[2]), boxes))
    return pages


def another_reader_finds_every_word_on_the_page_and_apart(folder):
    """Its boxes are as high as the font, so only the middle of each is looked at."""
    for number, (plan, chart) in enumerate(SONGS.items()):
        for paper in ("a4", "letter"):
            pdf = folder / f"{number}-{paper}.pdf"
            fine(chart, f"--plan={plan}", f"--paper={paper}", "-o", pdf)
            for width, height, boxes in word_boxes(pdf):
                demand(len(boxes) > 100, "too few words")
                cores = [(w, x0 + .4, y0 + .38 * (y1 - y0), x1 - .4, y1 - .38 * (y1 - y0)) for w, x0, y0, x1, y1 in boxes]
                for i, (w, x0, y0, x1, y1) in enumerate(cores):
                    demand(x0 > 18 and y0 > 18 and x1 < width - 18 and y1 < height - 18, f"{pdf.name}: {w} is at the edge")
                    for v, a0, b0, a1, b1 in cores[:i]:
                        demand(x1 <= a0 or a1 <= x0 or y1 <= b0 or b1 <= y0, f"{pdf.name}: {w} lies over {v}")


def every_pdf_is_under_100_kib(folder):
    for number, (plan, chart) in enumerate(SONGS.items()):
        fine(chart, f"--plan={plan}", "-o", folder / f"{number}.pdf")
        demand((folder / f"{number}.pdf").stat().st_size < 100 * 1024, f"{plan.name} is larger")
    for chart in (TOP / "presets").glob("*.chart"):
        fine(chart, "--overblows", "-o", folder / f"{chart.stem}.pdf")
        demand((folder / f"{chart.stem}.pdf").stat().st_size < 100 * 1024, f"{chart.name} is larger")


def a_sheet_is_the_same_every_time(folder):
    one, two = (fine(CHART, f"--plan={PLAN}", "--format=svg", "-o", "-").stdout for _ in range(2))
    same(one, two)


def pixels(png, *how):
    out = subprocess.run(["convert", png, *how, "-format", "%w %h %[mean]", "info:"], capture_output=True, text=True, check=True)
    return out.stdout.split()


def a_copy_in_one_bit_keeps_every_passing_note(folder):
    """At 150 dots an inch, a little out of focus: in the cells of small figures enough ink is left to be read."""
    fine(CHART, "--harp=C", "-o", folder / "a.pdf")
    subprocess.run(["pdftoppm", "-r", "150", "-gray", "-singlefile", "-png", folder / "a.pdf", folder / "a"], check=True)
    subprocess.run(["convert", folder / "a.png", "-blur", "0x0.6", "-threshold", "55%", folder / "copy.png"], check=True)
    small = [b for b in word_boxes(folder / "a.pdf")[0][2] if b[0] in ("11", "♭13", "♭9", "♯11") and b[2] > 250]
    demand(len(small) > 20, "too few of them")
    for word, x0, y0, x1, y1 in small:
        box = [round(v * 150 / 72) for v in (x0, y0, x1 - x0, y1 - y0)]
        crop = ["-crop", f"{box[2]}x{box[3]}+{box[0]}+{box[1]}", "+repage"]
        before, after = (1 - float(pixels(folder / png, *crop)[2]) / 65535 for png in ("a.png", "copy.png"))
        demand(after > 0.6 * before, f"{word} at {x0:.0f} {y0:.0f} keeps {after / before:.0%} of its ink")


def png_and_svg_are_whole_pages(folder):
    fine(CHART, "-o", folder / "a.png")
    same(pixels(folder / "a.png")[:2], ["1654", "2339"])
    fine(CHART, "--paper=letter", "-o", folder / "a.svg")
    head = (folder / "a.svg").read_text()[:400]
    demand(re.search(r'width="612(pt)?" height="792(pt)?"', head), head)


def ink(png, level, *more):
    """The picture's ink in white: what is darker than `level` percent."""
    return ["(", png, "-colorspace", "gray", "-threshold", f"{level}%", "-negate", *more, ")"]


def a_browser_shows_the_svg_as_poppler_does_the_pdf(folder):
    """Each has ink only where the other has some, or a pixel or two beside."""
    for kind in ("svg", "pdf"):
        fine(CHART, f"--plan={PLAN}", "--key=Bb", "-o", folder / f"a.{kind}")
    subprocess.run(["pdftoppm", "-r", "192", "-singlefile", "-png", folder / "a.pdf", folder / "pdf"], check=True)
    subprocess.run(["chromium", "--headless", "--no-sandbox", "--disable-gpu", "--hide-scrollbars",
                    "--window-size=794,1123", "--force-device-scale-factor=2", f"--user-data-dir={folder}/browser",
                    f"--screenshot={folder}/svg.png", f"file://{folder}/a.svg"],
                   check=True, timeout=120, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    for one, other in (("svg", "pdf"), ("pdf", "svg")):
        there = ink(folder / f"{other}.png", 90, "-morphology", "Dilate", "Disk:3.5", "-negate")
        left = subprocess.run(["convert", *ink(folder / f"{one}.png", 70), *there, "-compose", "multiply", "-composite", "-format",
                               "%[fx:mean*w*h]", "info:"], capture_output=True, text=True, check=True).stdout
        demand(float(left) < 3, f"{left} pixels of the {one} are not on the {other}")


def it_looks_as_it_did(folder):
    golden = {"sheet-ferry-street.png": (CHART, PLAN, "--harp=C"),
              "sheet-choruses.png": (TOP / "presets/twelve-bar.chart", TOP / "tests/sheet/plans/choruses.plan", "--paper=letter"),
              "sheet-crowded.png": (TOP / "presets/twelve-bar-jazz.chart", TOP / "tests/sheet/plans/crowded.plan",
                                    "--bends=1", "--tuning=solo", "--overblows")}
    for name, (chart, plan, *options) in golden.items():
        fine(chart, f"--plan={plan}", *options, "-o", folder / "a.pdf")
        subprocess.run(["pdftoppm", "-r", "192", "-singlefile", "-png", folder / "a.pdf", folder / name[:-4]], check=True)
        if os.environ.get("PICTURES"):
            Path(os.environ["PICTURES"]).mkdir(parents=True, exist_ok=True)
            shutil.copy(folder / name, os.environ["PICTURES"])
        kept = TOP / "tests/pictures" / name
        if os.environ.get("RENEW"):
            subprocess.run([COMPARE, "--renew", folder / name, kept, "2"], check=True)
        ran = subprocess.run([COMPARE, kept, folder / name], capture_output=True, text=True, check=False)
        same((name, ran.returncode, ran.stderr), (name, 0, ""))


# ---- what can be asked for ----

def first_page(*options):
    with tempfile.TemporaryDirectory() as scratch:
        fine(*options, "-o", Path(scratch) / "a.pdf")
        return pdf_text(Path(scratch) / "a.pdf")


def options_say_key_harp_and_player(folder):
    text = first_page(CHART, "--key=F", "--harp=Bb", "--register=low", "--tuning=country", "--bends=2", "--blow-bends", "0",
                      "--overblows")
    for word in ("Song in F", "low B♭ harp, 2nd position", "country tuning, draw bends: 2 half steps, blow: none, overblows",
                 "F7", "Gm7"):
        demand(word in text, f"{word!r} is not found")
    demand("harmonic minor tuning" in first_page(CHART, "--tuning=4"), "a tuning by number")
    demand("Song in Am" in first_page(TOP / "presets/twelve-bar-minor.chart", "--key=A"), "the mode is the chart's")
    demand("Song in Bm" in first_page(TOP / "presets/twelve-bar-minor.chart", "--key=Bm"), "a minor key by its name")
    demand("Song in D♭" in first_page(CHART, "--key=C#"), "a key by the name it usually goes by")


def the_combs_show_as_much_as_is_asked_for(folder):
    def degrees(show):
        fine(CHART, "--harp=C", f"--show={show}", "-o", folder / "a.pdf")
        combs = [b for b in word_boxes(folder / "a.pdf")[0][2] if b[2] > 200]
        words = " ".join(b[0] for b in combs)
        return words, sum(b[0] in ("R", "3", "♭3", "5", "♭5", "♭7", "9", "11", "13", "♭13", "♭9") for b in combs)

    all_words, all_count = degrees(4)
    same(degrees(4), (first_words := all_words, all_count))
    for show, least, gone in ((3, 60, "pass through"), (2, 30, "safe to hold"), (1, 5, "What to play over each chord")):
        words, count = degrees(show)
        demand(gone in first_words and gone not in words, f"--show={show} still says {gone!r}")
        demand(least <= count < all_count, f"--show={show} has {count} degrees, before {all_count}")
        first_words, all_count = words, count
    demand("Where to land on each chord" in words, words)
    same((words.split().count("♭7"), words.split().count("♭3")), (3, 1))  # over C7, E7, D7; over Am7; over G7 its third
    plain, all_shown = (fine(CHART, "--harp=C", *more, "--format=svg", "-o", "-").stdout for more in ([], ["--show=4"]))
    same(plain, all_shown)  # a PDF says when it was made


def what_the_tab_needs_is_explained_and_no_more(folder):
    for plan, chart in SONGS.items():
        text = " ".join(pdf_text_of(chart, plan, "--overblows", folder).split())
        tune = plan.read_text()
        demand(("2+3: both at once." in text) == ("[" in tune.split("X:", 1)[1]), f"{plan.name}: notes at once")
        demand(("/ before it: scoop" in text) == ("!slide!" in tune), f"{plan.name}: scoops")
        demand(("\\ behind it: let it fall" in text) == ("^fall" in tune), f"{plan.name}: falls")
        demand(("o: overblow" in text) == bool(re.search(r"\b\d+o\b", text)), f"{plan.name}: overblows")


def pdf_text_of(chart, plan, option, scratch):
    fine(chart, f"--plan={plan}", option, "-o", scratch / "a.pdf")
    return pdf_text(scratch / "a.pdf")


def without_a_harp_the_best_one_is_taken(folder):
    demand("C harp, 2nd position" in first_page(CHART), "a blues in G takes a C harp")
    demand("A harp, 2nd position" in first_page(CHART, "--key=E"), "one in E an A harp")


def chart_and_plan_come_by_option_or_from_stdin(folder):
    want = first_page(CHART, f"--plan={PLAN}", "--harp=C")
    same(first_page(f"--chart={CHART}", "--plan", PLAN, "--harp", "C"), want)
    for options, text in ((["-", f"--plan={PLAN}"], CHART), ([CHART, "--plan=-"], PLAN)):
        got = fine(*options, "--harp=C", "-o", "-", stdin=text.read_bytes()).stdout
        (folder / "b.pdf").write_bytes(got)
        same(pdf_text(folder / "b.pdf"), want)


def help_and_version_go_to_stdout(folder):
    for option in ("--help", "-h"):
        ran = fine(option)
        for name in ("CHART", "--plan", "--output", "--format", "--paper", "--key", "--harp", "--register", "--tuning", "--bends",
                     "--blow-bends", "--overblows", "--help", "--version", "Exit status"):
            demand(name.encode() in ran.stdout, f"{name} is not said")
    demand(re.fullmatch(rb"reedlamp-sheet \d+\.\d+\.\d+\n", fine("--version").stdout), "no version")


def the_manual_page_names_every_option(folder):
    page = BUILD / "ui/paper/reedlamp-sheet.1"
    text = subprocess.run(["man", "-l", page], capture_output=True, text=True, check=True,
                          env={**os.environ, "MANWIDTH": "200", "LC_ALL": "C"}).stdout
    text = re.sub(r".\b|\x1b\[[\d;]*m", lambda m: "" if m[0].startswith("\x1b") else m[0], text)
    for option in sorted(set(re.findall(r"--[a-z][a-z-]+", fine("--help").stdout.decode()))):
        demand(option in text, f"{option} is not in it")
    lint = subprocess.run(["groff", "-man", "-ww", "-Tutf8", page], capture_output=True, check=True)
    same(lint.stderr, b"")
    lint = subprocess.run(["man", "-l", "--warnings", page], capture_output=True, check=True, env={**os.environ, "LC_ALL": "C"})
    same(lint.stderr, b"")


def pages_of_svg_and_png_are_numbered(folder):
    for kind in ("svg", "png"):
        out = fine(TWO_PAGES, "-o", folder / f"song.{kind}").stdout.decode()
        same(out, f"page 1 of 2: {folder}/song-1.{kind}\npage 2 of 2: {folder}/song-2.{kind}\n")
    only(folder, "song-1.svg", "song-2.svg", "song-1.png", "song-2.png")
    fine(TWO_PAGES, "--format=png", "-o", folder / "dir.v1")
    demand((folder / "dir-1.v1").exists(), "the number stands before the suffix")
    fine(TWO_PAGES, "--format=png", "-o", folder / "plain")
    demand((folder / "plain-1").exists(), "or behind a name that has none")


def works_with_nothing_in_the_environment(folder):
    ran = run(CHART, "-o", folder / "a.pdf", env={}, cwd="/")
    same(ran.returncode, DONE)
    demand("G7" in pdf_text(folder / "a.pdf"), "no words")


# ---- what is wrong ----

def usage_errors_end_with_2(folder):
    more = "see reedlamp-sheet --help"
    out = ("-o", folder / "a.pdf")
    refused(USAGE, f"which chart? Name its file; {more}")
    refused(USAGE, "where to? Name a file with -o: sheet.pdf, .svg or .png", CHART)
    refused(USAGE, f"--nonsense: not understood; {more}", CHART, "--nonsense", *out)
    refused(USAGE, f"--harps=C: not understood; {more}", CHART, "--harps=C", *out)
    refused(USAGE, f"--harp: needs a value; {more}", CHART, *out, "--harp")
    refused(USAGE, "--harp=H: no such harp; write the note of hole 1 blow: C, Bb, F#", CHART, "--harp=H", *out)
    refused(USAGE, "--harp=Am: no such harp; write the note of hole 1 blow: C, Bb, F#", CHART, "--harp=Am", *out)
    refused(USAGE, "--key: no such key; write G, Bb, F#, or Gm where the chart is in minor", CHART, "--key", "Q", *out)
    refused(USAGE, "--key: the chart is in a major key; name one without m", CHART, "--key=Gm", *out)
    refused(USAGE, "--register=alto: registers are low, standard, high", CHART, "--register=alto", *out)
    refused(USAGE, "--tuning=6: no such tuning; reedlamp-sheet --help names all six", CHART, "--tuning=6", *out)
    refused(USAGE, "--tuning=: no such tuning; reedlamp-sheet --help names all six", CHART, "--tuning=", *out)
    refused(USAGE, "--bends=4: half steps run from 0 to 3", CHART, "--bends=4", *out)
    refused(USAGE, "--blow-bends=-1: half steps run from 0 to 3", CHART, "--blow-bends=-1", *out)
    refused(USAGE, "--overblows=yes: takes no value", CHART, "--overblows=yes", *out)
    refused(USAGE, "--show=0: how much the combs show runs from 1 (targets) to 4 (all)", CHART, "--show=0", *out)
    refused(USAGE, "--paper=a3: papers are a4 and letter", CHART, "--paper=a3", *out)
    refused(USAGE, "--format=doc: formats are pdf, svg, png", CHART, "--format=doc", *out)
    refused(USAGE, f"{CHART}: one chart, please: a file, or - for standard input", CHART, CHART, *out)
    refused(USAGE, f"--plan={PLAN}: one plan, please: a file, or - for standard input", CHART, f"--plan={PLAN}", f"--plan={PLAN}", *out)
    refused(USAGE, "--plan: chart and plan cannot both come from standard input", "-", "--plan=-", *out)
    refused(USAGE, "sheet.doc: which format? End the name in .pdf, .svg or .png, or use --format", CHART, "-o", "sheet.doc")
    refused(USAGE, "sheet: which format? End the name in .pdf, .svg or .png, or use --format", CHART, "-o", "sheet")
    refused(USAGE, "--output=: name a file, or - for standard output", CHART, "--output=")
    only(folder)


def errors_of_charts_and_plans_end_with_1_and_name_their_place(folder):
    out = ("-o", folder / "a.pdf")

    def chart(said, text):
        (folder / "c").write_bytes(text)
        refused(INPUT, f"{folder}/c: {said}", folder / "c", *out)
        refused(INPUT, f"standard input: {said}", "-", *out, stdin=text)

    def plan(said, text):
        (folder / "p").write_bytes(text)
        refused(INPUT, f"{folder}/p: {said}", CHART, f"--plan={folder}/p", *out)

    chart('line 3, bar 7: no such chord "H7"; letters run A to G, degrees I to VII', b"key: G\n| I | I | I | I |\n| I | I | H7 |\n")
    tune = b"\n\nX:1\nT:Tide Bell\nM:4/4\nK:G\nGABc|\n"
    plan('line 2: no phrase "Low Tide" stands below; put it there in ABC, from X: on', b"# a comment\nbar 1: Low Tide" + tune)
    plan("line 1: bar 13: the form has only 12; choose another bar", b"bar 13: Tide Bell" + tune)
    plan("line 1: beat 5: the bar has only 4; choose another beat", b"bar 2 beat 5: Tide Bell" + tune)
    plan("line 1 or later: `answer:` names bar 14, but the form has only 12; remove it", b"answer: 14\n")
    plan("line 1: more than 16384 bytes; take phrases out", b"#" * 16385)
    (folder / "c").write_bytes(b"key: G\nchoruses: 2\n| I |\n")
    (folder / "p").write_bytes(b"bar 1: Tide Bell, choruses 1 3" + tune)
    refused(INPUT, f"{folder}/p: line 1: a chorus after the 2 that the chart has; name 1 to 2, or change the chart's `choruses:`",
            folder / "c", f"--plan={folder}/p", *out)
    for text in (b"", b"\xff\xfe", b"\0" * 100, b"|" * 16384, b"#" * 16385, b"key: G\n"):
        ran = run("-", *out, stdin=text)
        same(ran.returncode, INPUT)
        demand(re.fullmatch(rb"reedlamp-sheet: standard input: line \d+(, bar \d+)?: [^\n]+\n", ran.stderr), ran.stderr)
    only(folder, "c", "p")


def only_plain_files_are_read(folder):
    out = ("-o", folder / "a.pdf")
    os.mkfifo(folder / "pipe")
    for path in (folder, folder / "pipe", "/dev/zero"):
        refused(INPUT, f"{path}: not a regular file; name one, or - for standard input", path, *out)
        refused(INPUT, f"{path}: not a regular file; name one, or - for standard input", CHART, f"--plan={path}", *out)
    refused(INPUT, f"{folder}/none: No such file or directory", folder / "none", *out)
    only(folder, "pipe")


def plan_cost(folder, bars, lines, choruses):
    """Seconds of the processor that a plan of 20 tunes takes, laid so often over so many bars; the least of three."""
    chart = "\n".join("| I7 | IV7 | ii7 | V7 | I | vi7 | bVII7 | V7 |" for _ in range(bars // 8))
    (folder / "c").write_text(f"key: F\nchoruses: {choruses}\n{chart}\n")
    laid = "".join(f"bar {n * 101 % bars + 1}: T{n % 20}"
                   + (f", choruses {n % choruses + 1} {n * 7 % choruses + 1}\n" if n % 5 else "\n") for n in range(lines))
    tunes = "".join(f"\nX:1\nT:T{n}\nM:4/4\nL:1/16\nK:F\nFAcdfcAG{'FAcdcAFA' if n % 2 else 'agfdcAFc'}|\n" for n in range(20))
    (folder / "p").write_text(laid + tunes)
    least = float("inf")
    for _ in range(3):
        before = resource.getrusage(resource.RUSAGE_CHILDREN)
        fine(folder / "c", f"--plan={folder}/p", "-o", folder / "a.pdf")
        after = resource.getrusage(resource.RUSAGE_CHILDREN)
        least = min(least, after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime)
    return least


def the_largest_plan_costs_at_most_twenty_small_ones(folder):
    """512 bars, 128 lines, 32 choruses, 2048 notes against 16 bars, 4 lines and 2 choruses: about 11 to one, where it was once
    fifteen times as much. A ratio: how fast the machine is does not matter."""
    ratio = plan_cost(folder, 512, 128, 32) / plan_cost(folder, 16, 4, 2)
    demand(ratio < 20, f"{ratio:.1f} to one")


def a_long_title_stays_readable(folder):
    """Over 150 letters: cut with an ellipsis in the head, whole below."""
    title = "The Night Ferry Left the Landing With Nobody Aboard but the Cook and Two Gulls, and What the Harbour Master Wrote of " \
        "It Afterwards in His Long Blue Book for the Winter of That Year, Part Two"
    (folder / "c").write_text(f"title: {title}\nkey: D\n| I7 | IV7 | I7 | V7 |\n")
    fine(folder / "c", "-o", folder / "a.pdf")
    text = " ".join(pdf_text(folder / "a.pdf").split())
    demand(f"Title: {title}" in text and "…" in text, text)
    boxes = subprocess.run(["pdftotext", "-bbox", folder / "a.pdf", "-"], capture_output=True, text=True, check=True).stdout
    low = min(float(m[2]) - float(m[1]) for m in re.finditer(r'yMin="([\d.]+)" xMax="[\d.]+" yMax="([\d.]+)">Ferry<', boxes))
    demand(low > 8, f"{low} points high")


def two_phrases_of_one_title_are_said(folder):
    (folder / "p").write_text("bar 1: One\n\nX:1\nT:One\nK:G\nG8|\n\nX:2\nT:One\nK:G\nB8|\n")
    fine(CHART, f"--plan={folder}/p", "-o", folder / "a.pdf")
    demand("Two phrases of the plan have the title One: the first is meant." in pdf_text(folder / "a.pdf"), "not said")


def blow_bends_are_as_deep_as_draw_bends_unless_said(folder):
    for options, word in ((["--bends=1"], "bends to 1 half step"), (["--bends=0"], "no bends"),
                          (["--bends=1", "--blow-bends=3"], "draw bends: 1 half step, blow: 3 half steps"),
                          (["--blow-bends=3", "--bends=1"], "draw bends: 1 half step, blow: 3 half steps"),
                          (["--blow-bends=1"], "draw bends: 3 half steps, blow: 1 half step"),
                          ([], "bends to 3 half steps")):
        text = " ".join(first_page(CHART, *options).split())
        demand(word in text, (options, word, text[:400]))


def what_a_phrase_has_no_room_for_is_said(folder):
    (folder / "p").write_text("bar 4: One\n\nX:1\nT:One\nM:4/4\nL:1/8\nK:G\n{a}G4 ~B4|\n")
    fine(CHART, f"--plan={folder}/p", "-o", folder / "a.pdf")
    text = " ".join(pdf_text(folder / "a.pdf").split())
    demand("; an ornament and a grace note left out" in text, text)


def a_plan_of_too_many_notes_is_refused(folder):
    lines = "".join(f"bar {n}: Long\n" for n in range(1, 13) for _ in range(1))
    tune = "X:1\nT:Long\nM:none\nL:1/64\nK:G\n" + "G" * 400 + "|\n"
    (folder / "p").write_text(lines + "\n" + tune)
    refused(INPUT, f"{folder}/p: more than 2048 notes in all; take phrases out, or make two plans", CHART, f"--plan={folder}/p",
            "-o", folder / "a.pdf")


def what_cannot_be_written_ends_with_3(folder):
    refused(OUTPUT, f"{folder}/none/a.pdf: No such file or directory", CHART, "-o", folder / "none/a.pdf")
    (folder / "dir.pdf").mkdir()
    refused(OUTPUT, f"{folder}/dir.pdf: not a regular file; name another, or - for standard output", CHART, "-o", folder / "dir.pdf")
    refused(OUTPUT, "standard output: this sheet has several pages, and only a PDF holds them all; use --format=pdf, or name a file",
            TWO_PAGES, "--format=png", "-o", "-")
    with open("/dev/full", "wb") as full:
        ran = subprocess.run([SHEET, CHART, "-o", "-"], stdout=full, stderr=subprocess.PIPE, check=False)
    same((ran.returncode, ran.stderr), (OUTPUT, b"reedlamp-sheet: standard output: No space left on device\n"))
    read, write = os.pipe()
    os.close(read)
    ran = subprocess.run([SHEET, CHART, "-o", "-"], stdout=write, stderr=subprocess.PIPE, check=False)
    os.close(write)
    same((ran.returncode, ran.stderr), (OUTPUT, b"reedlamp-sheet: standard output: Broken pipe\n"))
    only(folder, "dir.pdf")


def small_files():
    resource.setrlimit(resource.RLIMIT_FSIZE, (4096, 4096))


def no_half_file_is_left_and_an_old_one_stays(folder):
    (folder / "a.pdf").write_bytes(b"old")
    refused(OUTPUT, f"{folder}/a.pdf: File too large", CHART, "-o", folder / "a.pdf", preexec_fn=small_files)
    same((folder / "a.pdf").read_bytes(), b"old")
    (folder / "song-2.svg").mkdir()
    refused(OUTPUT, f"{folder}/song-2.svg: not a regular file; name another, or - for standard output", TWO_PAGES, "-o", folder / "song.svg")
    only(folder, "a.pdf", "song-2.svg")
    fine(CHART, "-o", folder / "a.pdf")
    demand((folder / "a.pdf").read_bytes().startswith(b"%PDF"), "the old one is replaced")
    only(folder, "a.pdf", "song-2.svg")


def a_link_is_written_through(folder):
    (folder / "there").mkdir()
    (folder / "there/b.pdf").write_bytes(b"old")
    (folder / "a.pdf").symlink_to("there/b.pdf")
    fine(CHART, "-o", folder / "a.pdf")
    demand((folder / "a.pdf").is_symlink() and (folder / "there/b.pdf").read_bytes().startswith(b"%PDF"), "the link is gone")
    only(folder / "there", "b.pdf")


def a_new_file_has_the_rights_that_are_usual(folder):
    fine(CHART, "-o", folder / "a.pdf", preexec_fn=lambda: os.umask(0o027))
    same(oct((folder / "a.pdf").stat().st_mode & 0o777), "0o640")


def an_old_file_keeps_its_rights(folder):
    (folder / "a.pdf").write_bytes(b"old")
    (folder / "a.pdf").chmod(0o604)
    fine(CHART, "-o", folder / "a.pdf", preexec_fn=lambda: os.umask(0o022))
    same(oct((folder / "a.pdf").stat().st_mode & 0o777), "0o604")
    demand((folder / "a.pdf").read_bytes().startswith(b"%PDF"), "not written")


def a_read_only_file_stays(folder):
    (folder / "a.pdf").write_bytes(b"old")
    (folder / "a.pdf").chmod(0o444)
    refused(OUTPUT, f"{folder}/a.pdf: read-only; name another file, or make it writable", CHART, "-o", folder / "a.pdf")
    same((folder / "a.pdf").read_bytes(), b"old")
    only(folder, "a.pdf")


def ended_at_any_moment_it_leaves_nothing_beside(folder):
    for pause in range(40):
        process = subprocess.Popen([SHEET, TWO_PAGES, "-o", folder / "a.pdf"], stderr=subprocess.DEVNULL)
        time.sleep(pause * 0.003)
        process.send_signal(signal.SIGTERM)
        process.wait()
        left = [p.name for p in folder.iterdir()]
        demand(left in ([], ["a.pdf"]), f"{left} after {3 * pause} ms")
        if left:
            demand((folder / "a.pdf").read_bytes().rstrip().endswith(b"%%EOF"), f"half a file after {3 * pause} ms")
            (folder / "a.pdf").unlink()


TESTS = [t for name, t in list(globals().items()) if callable(t) and getattr(t, "__code__", None)
         and t.__code__.co_varnames[:t.__code__.co_argcount] == ("folder",)]


def main():
    count = tally.Tally()
    absent = [tool for tool in ("pdftotext", "pdftoppm", "convert", "man", "groff", "chromium") if not shutil.which(tool)]
    for test in [t for t in TESTS if not WORDS or any(w in t.__name__ for w in WORDS)]:
        name = test.__name__.replace("_", " ")
        if absent:
            count.skip(name, f"{absent[0]} is not installed; apt-get install poppler-utils imagemagick man-db groff chromium")
            continue
        with tempfile.TemporaryDirectory() as scratch:
            try:
                test(Path(scratch))
                count.ok(name)
            except Exception as wrong:  # whatever it is, the next one is tried
                count.no(name, str(wrong)[:2000])
    return count.end()


sys.exit(main())
