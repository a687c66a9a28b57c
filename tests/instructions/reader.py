"""A reader that weaves from words and chart alone: own honeycomb, own grammar, nothing of the program's.

The chart gives where loops lie and are numbered (pictures of a honeycomb, every other row half a loop to the
right) and the colour of each bead. All else is read: where the thread starts, which way it turns, what it picks
up and passes through, and where it is sewn on.
"""

import math
import re

LEFT, RIGHT = "left", "right"
# What the words of the long form say of a place at the edge; eighths of a turn clockwise from the right.
COMPASS = ("right", "bottom right", "bottom", "bottom left", "left", "top left", "top", "top right")


class Honeycomb:
    """Loops of a sheet with their six beads each, known by the two corners that a bead lies between."""

    def __init__(self, woven, along=False):
        self.loops = {}
        for row, places in enumerate(woven):
            for place, there in enumerate(places):
                if not there:
                    continue
                x, y = math.sqrt(3) * (place + row % 2 / 2), 1.5 * row
                corners = [
                    (x + math.cos(math.radians(60 * k - 90)), y + math.sin(math.radians(60 * k - 90)))
                    for k in range(6)
                ]
                if along:
                    x, y = y, x
                    corners = [(b, a) for a, b in corners]
                self.loops[f"{row + 1}.{place + 1}"] = ((x, y), [self.key(corner) for corner in corners])
        self.beads = {}
        self.at = {}
        for name, (_, corners) in self.loops.items():
            for one, other in zip(corners, corners[1:] + corners[:1], strict=True):
                bead = frozenset((one, other))
                self.beads.setdefault(bead, []).append(name)
                for corner in bead:
                    self.at.setdefault(corner, set()).add(bead)

    @staticmethod
    def key(corner):
        return round(corner[0], 4) + 0.0, round(corner[1], 4) + 0.0

    def place(self, bead):
        """Where a bead lies, as words name it."""
        names = self.beads[bead]
        if len(names) == 2:
            return "/".join(sorted(names, key=lambda name: [int(part) for part in name.split(".")]))
        (x, y), _ = self.loops[names[0]]
        (ax, ay), (bx, by) = bead
        eighth = round(math.atan2((ay + by) / 2 - y, (ax + bx) / 2 - x) * 4 / math.pi) % 8
        return f"edge of {names[0]}, {COMPASS[eighth]}"

    def turned(self, bead, towards, turn):
        """The bead into which a thread turns that leaves a bead at a corner."""
        (start,) = bead - {towards}
        heading = towards[0] - start[0], towards[1] - start[1]
        found = []
        for other in self.at[towards] - {bead}:
            (end,) = other - {towards}
            onward = end[0] - towards[0], end[1] - towards[1]
            # y runs down: a positive product turns clockwise as one looks on, that is to the right.
            side = heading[0] * onward[1] - heading[1] * onward[0]
            if (side > 0) == (turn == RIGHT):
                found.append((other, end))
        (only,) = found
        return only


class Weaver:
    """Follows words bead by bead and minds that each is true."""

    def __init__(self, comb, colour_of):
        self.comb, self.colour_of = comb, colour_of
        self.woven, self.passes = set(), []
        self.corners = {}
        self.bead = self.towards = None

    def begin(self, bead, towards):
        self.bead, self.towards = bead, towards
        self.woven.add(bead)
        self.passes.append(bead)

    def go(self, bead, end):
        (loop,) = set(self.comb.beads[self.bead]) & set(self.comb.beads[bead])
        self.corners.setdefault(loop, set()).add(self.towards)
        self.passes.append(bead)
        self.bead, self.towards = bead, end
        return loop

    def pick_up(self, turn, code):
        bead, end = self.comb.turned(self.bead, self.towards, turn)
        assert bead not in self.woven, "picked up twice"
        assert self.colour_of[self.comb.place(bead)] == code
        self.woven.add(bead)
        return self.go(bead, end)

    def through(self, turn):
        bead, end = self.comb.turned(self.bead, self.towards, turn)
        assert bead in self.woven, "nothing is there yet"
        return self.go(bead, end)

    def sew(self, code, place):
        found = [bead for bead in self.comb.at[self.towards] if self.comb.place(bead) == place]
        assert len(found) == 1, f"{place} is not at hand"
        assert found[0] in self.woven
        assert self.colour_of[place] == code
        (end,) = found[0] - {self.towards}
        self.go(found[0], end)

    def closed(self, loop):
        return len(self.corners.get(loop, ())) == 6


KIND = re.compile(r"  ([A-Z]+) +([\d,]+) times?  +(.*)")
MOVE = re.compile(r"(pick up|through) (\d+)(\*?)")
BEAD = re.compile(r"(\S+(?: \S+)??) \(([^()]+)\)")


def kinds_of(text):
    """What each letter stands for: (turn, verb, beads, closes), as the list at the beginning says."""
    found, times = {}, {}
    for line in text.splitlines():
        if match := KIND.fullmatch(line):
            moves = []
            for part in match[3].split("; "):
                turn, _, rest = part.rpartition(": ")
                for verb, count, closes in MOVE.findall(rest):
                    moves.append((turn or None, verb, int(count), bool(closes)))
            found[match[1]], times[match[1]] = moves, int(match[2].replace(",", ""))
    return found, times


def codes_of(words):
    """Codes in their order out of ``3×GE4 MG4``."""
    found = []
    for word in words:
        count, _, code = word.rpartition("\N{MULTIPLICATION SIGN}")
        found += [code] * int(count or 1)
    return found
