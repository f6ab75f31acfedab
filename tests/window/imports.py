# SPDX-License-Identifier: ISC
"""What reedlamp-listen writes, imported in Ardour by its own dialog: the bars that the recording has, the choruses marked."""
import os
import re
import subprocess
import time

import stage
from stage import Wrong, until

NAME = 'Ardour: the tempo map and the choruses that reedlamp-listen wrote are imported'
DIALOG = 'Add Existing Media'
USE_TEMPI, IMPORT_MARKERS, IMPORT = (430, 430), (430, 462), (926, 526)  # in the dialog as it opens
TEMPO, KEY, SILENCE, SECONDS = 116, 9, 2.5, 62  # of the recording
SUPERCLOCK = 282240000  # Ardour's, a second
NEAR = 0.035
# The dialog begins in the folder that Ardour was started in, and the one file there is chosen.
CHOOSER = '[Filechooser Settings]\nLocationMode=path-bar\nStartupMode=cwd\n'


def folder_make(screen, build, top):
    """A folder with one file: the map of a recording whose bars are known."""
    folder, sound = screen.folder + '/import', screen.folder + '/band.wav'
    chart = top + '/presets/twelve-bar-turnaround.chart'
    os.makedirs(folder)
    os.makedirs(screen.folder + '/config/gtk-2.0')
    with open(screen.folder + '/config/gtk-2.0/gtkfilechooser.ini', 'w', encoding='utf-8') as file:
        file.write(CHOOSER)
    subprocess.run([build + '/tests/listen/band_write', chart, sound, *map(str, (SECONDS, TEMPO, KEY, SILENCE))], check=True)
    subprocess.run([build + '/ui/listen/reedlamp-listen', sound, '--chart=' + chart, '-o', folder + '/bars.mid'], check=True,
                   stderr=subprocess.DEVNULL)
    return folder


def session(screen):
    """What Ardour saves of it."""
    stage.save(screen)
    with open(screen.folder + '/jam/jam.ardour', encoding='utf-8') as file:
        return file.read()


def imported(screen, host):
    def click(spot):
        screen.look('xdotool', 'mousemove', '--window', dialog, *map(str, spot), 'click', '1')
        time.sleep(0.5)
    screen.quit(DIALOG)  # left by a try before
    until('no dialog', lambda: not screen.frames(DIALOG), 10, [host])
    stage.focus(screen)
    screen.look('xdotool', 'key', 'ctrl+i')
    dialog = until('the dialog', lambda: screen.frames(DIALOG), 20, [host])[0]
    time.sleep(2)
    for spot in (USE_TEMPI, IMPORT_MARKERS, IMPORT):
        click(spot)
    text = until('the choruses', lambda: (lambda t: t if 'text="chorus 2' in t else '')(session(screen)), 30, [host])
    lines = [int(at) / SUPERCLOCK for at in re.findall(r'<Tempo [^>]*sclock="(\d+)"[^>]*bbt="\d+\|1\|0"', text)]
    marks = [int(at) for at in re.findall(r'<Cue text="chorus \d+: A" position="b(\d+)"', text)]
    wanted = [SILENCE + bar * 240 / TEMPO for bar in range(int((SECONDS - SILENCE) * TEMPO / 240))]
    off = [min(abs(line - at) for line in lines) for at in wanted]
    if max(off) > NEAR:
        raise Wrong('bars beside the recording: %s' % [round(o, 3) for o in off])
    if [b - a for a, b in zip(marks, marks[1:])] != [12 * 4 * 1920] * (len(marks) - 1):
        raise Wrong('choruses at %s' % marks)
    return '%d bar lines, at worst %d ms off; %d choruses' % (len(wanted), 1000 * max(off), len(marks))
