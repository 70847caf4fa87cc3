# SPDX-License-Identifier: ISC
"""Press TAB in a real shell under a pseudo-terminal.

complete.py bash SCRIPT PROGRAM < lines: for each line, types it after a fresh prompt, presses TAB three times
and prints what the shell made of it: the line as it then stands, a tab, and the words it offered.
"""
import os
import pty
import re
import select
import sys

MARK = "READY>"


def read_until_quiet(master, seconds=0.4):
    """All that comes until nothing comes for a while."""
    text = b""
    while select.select([master], [], [], seconds)[0]:
        try:
            text += os.read(master, 65536)
        except OSError:
            break
    return text.decode("utf-8", "replace")


def start(script, program):
    pid, master = pty.fork()
    if pid == 0:
        os.environ.update(TERM="dumb", PS1=MARK, INPUTRC="/dev/null", COLUMNS="2000", LINES="50",
                          PATH=os.path.dirname(os.path.abspath(program)) + ":" + os.environ["PATH"])
        os.execvp("bash", ["bash", "--norc", "--noprofile", "-i"])
    read_until_quiet(master, 1.0)
    os.write(master, f"bind 'set completion-query-items 0'; bind 'set page-completions off'; stty cols 2000; source {script}; PS1='{MARK}'\n".encode())
    read_until_quiet(master, 1.0)
    return pid, master


def rubbed_out(text):
    """Backspaces carried out, as a terminal would."""
    cells, at = [], 0
    for c in text:
        if c == "\b":
            at = max(at - 1, 0)
        else:
            cells[at:at + 1] = [c]
            at += 1
    return "".join(cells)


def press(master, line):
    os.write(master, line.encode() + b"\t")
    first = read_until_quiet(master)
    os.write(master, b"\t\t")  # a second press lists, a third where the first one wrote
    second = read_until_quiet(master)
    os.write(master, b"\x15")  # erase the line
    read_until_quiet(master, 0.2)
    text = re.sub(r"\x07|\x1b\[[0-9;?]*[a-zA-Z]", "", first + second).replace("\r", "")
    # Offers, if any, stand in lines of their own; the prompt and the line follow.
    parts = [rubbed_out(part) for part in text.split("\n")]
    return parts[-1].replace(MARK, ""), " ".join(parts[1:-1])


def main():
    pid, master = start(sys.argv[2], sys.argv[3])
    for line in sys.stdin.read().splitlines():
        now, offers = press(master, line)
        print(f"{now}\t{' '.join(offers.split())}")
    os.close(master)
    os.kill(pid, 9)
    os.waitpid(pid, 0)


main()
