# SPDX-License-Identifier: ISC
"""Can a program tell from letters without names which is which, by anything but the sound?

    letter_guess.py FOLDER      with N.html and N.txt, each a letter and its key

From each letter come numbers: its size, every letter of its text, its digest, its own name, what stands before the
audio of each clip, where each clip stands. Two guessers learn from half of the letters which candidate was first in
the first pair, and are asked about the other half: least squares with a ridge, and the commonest answer for each
value of each number (naive Bayes). Right at chance, by the binomial test, is what is hoped for. That they can learn
is tried by a number that gives it away nine times in ten.

What a FLAC stream holds is the sound, the size of its audio too: where that is put in, the guessers may find it.
Ends with 'N passed, N failed'.
"""
import base64
import re
import sys
from math import log
from pathlib import Path

import numpy
from scipy.stats import binomtest

HEAD = 42  # bytes of a FLAC stream up to its padding: marker, head of a block, stream information (RFC 9639)
LEVEL = 0.01


def truth(key):
    """Whether the candidate whose settings have the smaller digest was first in the first pair."""
    digests = re.findall(r"^candidate ([0-9a-f]{64})", key, re.M)
    first = int(re.search(r"^trial 1 (\d+)", key, re.M)[1]) - 1
    return int(digests[first] == min(digests))


def numbers(letter):
    """Everything but the sound of a letter; and the sizes of its clips' audio."""
    clips = [base64.b64decode(text) for text in re.findall(r'base64,([^"]*)"', letter)]
    bare = re.sub(r'base64,[^"]*"', '"', letter)
    found = [len(letter), len(bare), len(clips), *(len(clip) for clip in clips)]
    found += [byte for clip in clips[:8] for byte in clip[:HEAD]]
    found += [at.start() for at in re.finditer(r'base64,', letter)]
    found += [int(sign, 16) for sign in re.search(r"<code id=\"commitment\">([0-9a-f]{64})</code>", letter)[1]]
    data = re.search(r'id="data">(.*?)</script>', letter, re.S)[1]
    found += [int(number) for number in re.findall(r"\d+", data)]
    found += list(numpy.bincount(numpy.frombuffer(bare.encode(), numpy.uint8), minlength=256))
    padding = [int.from_bytes(clip[HEAD + 1 : HEAD + 4], "big") for clip in clips]
    return found, padding


def ridge(x, y, asked):
    """Least squares with a ridge, on numbers of mean 0 and deviation 1."""
    mean, spread = x.mean(0), x.std(0)
    used = spread > 0
    scale = lambda rows: (rows[:, used] - mean[used]) / spread[used]
    a = scale(x)
    weights = numpy.linalg.solve(a.T @ a + 10.0 * numpy.eye(a.shape[1]), a.T @ (2.0 * y - 1.0)) if used.any() else None
    return scale(asked) @ weights > 0 if used.any() else numpy.zeros(len(asked), bool)


def bayes(x, y, asked):
    """For each number how much more often a value came with one answer than with the other."""
    score = numpy.full(len(asked), log((y.sum() + 1) / (len(y) - y.sum() + 1)))
    for column in range(x.shape[1]):
        values = numpy.unique(x[:, column])
        if 1 < len(values) <= 64:
            for value in values:
                here = x[:, column] == value
                ratio = (y[here].sum() + 1) / (y.sum() + 2) / ((1 - y[here]).sum() + 1) * ((1 - y).sum() + 2)
                score[asked[:, column] == value] += log(ratio)
    return score > 0


def right(guesser, x, y):
    """How many of the second half a guesser gets right, and how likely so many, or so few, are by chance."""
    half = len(y) // 2
    count = int((guesser(x[:half], y[:half], x[half:]) == (y[half:] == 1)).sum())
    return count, len(y) - half, binomtest(count, len(y) - half).pvalue


def main():
    letters = sorted(Path(sys.argv[1]).glob("*.html"))
    y = numpy.array([truth(path.with_suffix(".txt").read_text()) for path in letters])
    rows = [numbers(path.read_text()) for path in letters]
    if len({len(row) for row, _ in rows}) != 1:
        print("FAIL: letters do not even hold as many numbers")
        print("0 passed, 1 failed")
        return 1
    x = numpy.array([row for row, _ in rows], float)
    sound = numpy.array([row for _, row in rows], float)
    planted = numpy.column_stack([x, numpy.where(numpy.random.default_rng(1).random(len(y)) < 0.9, y, 1 - y)])
    failed = 0
    for name, guesser in (("least squares", ridge), ("naive Bayes", bayes)):
        count, of, p = right(guesser, x, y)
        print(f"{name}, all but the sound ({x.shape[1]} numbers): {count} of {of} right, p = {p:.3f}")
        failed += int(p <= LEVEL / 2)
        count, of, p = right(guesser, planted, y)
        print(f"{name}, with a number that gives it away nine times in ten: {count} of {of} right")
        failed += int(not (p < 1e-6 and count > of / 2))
    count, of, p = right(ridge, sound, y)
    print(f"from the size of the compressed sound, which is of the sound: {count} of {of} right")
    print(f"{4 - failed} passed, {failed} failed")
    return failed > 0


sys.exit(main())
