#!/usr/bin/python3
# SPDX-License-Identifier: ISC
"""The plugin's window is open when Ardour 7 loads the session, its own ("1") or Ardour's generic one ("0"), and the host of
that home asks nothing on its first start: it has been there before, and knows a JACK server.

usage: show.py SESSION-FOLDER NAME HOME 0|1"""
import pathlib
import re
import sys

folder, name, home, custom = pathlib.Path(sys.argv[1]), sys.argv[2], pathlib.Path(sys.argv[3]), sys.argv[4]
path = folder / (name + '.ardour')
text = path.read_text()
window = 'P-%s-%s' % (re.search(r'<Route [^>]*\bid="([0-9]+)"[^>]*name="mono"', text).group(1),
                      re.search(r'<Processor id="([0-9]+)"[^>]*type="lv2"', text).group(1))
place = '<Window name="%s" visible="1" x-off="0" y-off="60" x-size="-1" y-size="-1" custom-ui="%s"/>' % (window, custom)
text, there = re.subn(r'<Window name="%s"[^>]*/>' % window, place, text)
if not there:
    assert text.count('</Session>') == 1 and '<Extra' not in text
    text = text.replace('</Session>', '<Extra><UI>%s</UI></Extra></Session>' % place)
path.write_text(text)
settings = home / '.config/ardour7'
settings.mkdir(parents=True, exist_ok=True)
(settings / '.a7').touch()
if not (settings / 'config').exists():
    (settings / 'config').write_text(
        '<?xml version="1.0"?>\n<Ardour><Config/><Extra><AudioMIDISetup><EngineStates><State backend="JACK" driver="" '
        'device="" input-device="" output-device="" sample-rate="48000" buffer-size="256" n-periods="0" '
        'input-latency="0" output-latency="0" lm-input="" lm-output="" active="1" use-buffered-io="0" midi-option="" '
        'lru="1"/></EngineStates></AudioMIDISetup></Extra></Ardour>\n')
