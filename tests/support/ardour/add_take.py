#!/usr/bin/python3
# SPDX-License-Identifier: ISC
"""A mono file of 48 kHz on the track of an Ardour 7 session, from its first sample on, and the session as long as it.

usage: add_take.py SESSION-FOLDER NAME FILE.wav SAMPLES"""
import pathlib
import re
import shutil
import sys

folder, name, take, samples = pathlib.Path(sys.argv[1]), sys.argv[2], sys.argv[3], int(sys.argv[4])
ticks = 508032000 // 48000 * samples  # Ardour's own time
# The one folder of recordings that the session has: Ardour refuses a session that has two.
shutil.copy(take, next((folder / 'interchange').iterdir()) / 'audiofiles' / 'take.wav')
region = ('<Region name="take" muted="0" opaque="1" locked="0" automatic="0" whole-file="%d" import="0" external="0" '
          'hidden="0" start="a0" length="a' + str(ticks) + '@a0" sync-position="a0" ancestral-start="a0" '
          'ancestral-length="a0@a0" stretch="1" shift="1" layering-index="0" default-fade-in="0" default-fade-out="0" '
          'fade-in-active="0" fade-out-active="0" scale-amplitude="1" channels="1" id="%d" type="audio" '
          'first-edit="nothing" source-0="90001" master-source-0="90001"/>')
path = folder / (name + '.ardour')
text = path.read_text()
for old, new in (('<Sources/>', '<Sources><Source name="take.wav" type="audio" flags="" id="90001" channel="0" '
                  'origin="take.wav" gain="1"/></Sources>'),
                 ('<Regions/>', '<Regions>' + region % (1, 90003) + '</Regions>'),
                 ('<Locations/>', '<Locations><Location id="90004" name="session" start="a0" end="a%d" '
                  'flags="IsSessionRange" locked="0" timestamp="0" cue="0"/></Locations>' % ticks)):
    assert old in text, old
    text = text.replace(old, new, 1)
text, tracks = re.subn(r'(<Playlist id="[0-9]+" name="mono"[^>]*)/>',
                       lambda m: m.group(1) + '>' + region % (0, 90002) + '</Playlist>', text)
assert tracks == 1
path.write_text(re.sub(r'id-counter="[0-9]+"', 'id-counter="99999"', text, count=1))
