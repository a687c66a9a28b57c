"""A reader that weaves from words and chart alone: own honeycomb, own grammar, nothing of the program's.

The chart gives where loops lie and are numbered (a honeycomb, every other row half a loop to the right) and
the colour of each bead. All else is read: where the thread starts, which way it turns, what it picks up and
passes through, and where it is sewn on.
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
        self._know_beads()

    @classmethod
    def drawn(cls, loops):
        """The beads of loops drawn anywhere: of each loop its name, its middle and its corners in order."""
        comb = cls([])
        comb.loops = {
            name: (middle, [cls.key(corner) for corner in corners]) for name, middle, corners in loops
        }
        comb._know_beads()
        return comb

    def _know_beads(self):
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
        return found[0] if found else None


class Weaver:
    """Follows words bead by bead and minds that each is true."""

    def __init__(self, comb, colour_of):
        self.comb, self.colour_of = comb, colour_of
        self.woven, self.passes, self.moves = set(), [], []
        self.corners = {}
        self.bead = self.towards = None

    def copy(self):
        other = Weaver(self.comb, self.colour_of)
        other.woven, other.passes, other.moves = set(self.woven), list(self.passes), list(self.moves)
        other.corners = {loop: set(corners) for loop, corners in self.corners.items()}
        other.bead, other.towards = self.bead, self.towards
        return other

    def begin(self, bead, towards, code):
        """Take up the first bead of all, to come out of it at a corner."""
        assert not self.passes and self.colour_of[self.comb.place(bead)] == code
        self.bead, self.towards = bead, towards
        self.woven.add(bead)
        self.passes.append(bead)

    def _go(self, bead, end, turn, code):
        (loop,) = set(self.comb.beads[self.bead]) & set(self.comb.beads[bead])
        self.corners.setdefault(loop, set()).add(self.towards)
        self.passes.append(bead)
        self.moves.append((turn, code))
        self.bead, self.towards = bead, end
        return loop

    def pick_up(self, turn, code):
        bead, end = self.comb.turned(self.bead, self.towards, turn)
        assert bead not in self.woven, "picked up twice"
        assert self.colour_of[self.comb.place(bead)] == code
        self.woven.add(bead)
        return self._go(bead, end, turn, code)

    def through(self, turn):
        bead, end = self.comb.turned(self.bead, self.towards, turn)
        assert bead in self.woven, "nothing is there yet"
        return self._go(bead, end, turn, None)

    def sew(self, code, place):
        """Go through a woven bead by its name."""
        for turn in (LEFT, RIGHT):
            found = self.comb.turned(self.bead, self.towards, turn)
            if found and self.comb.place(found[0]) == place:
                assert self.colour_of[place] == code
                return self.through(turn)
        raise AssertionError(f"{place} is not at hand")

    def closed(self, loop):
        return len(self.corners.get(loop, ())) == len(self.comb.loops[loop][1])


KIND = re.compile(r"  ([A-Z]+) +([\d,]+) loops? +(left|right): (\S.*)")
RUN = re.compile(r"(pick up|through) (\d+)")
BEAD = re.compile(r"([^(),;:]+?) \(([^()]+)\)")
STITCH = re.compile(r" *(\d+)\. (.*)")
STEP = re.compile(r" {6}((?:Pick up|Pass through|Sew through) .*)")
REPEAT = re.compile(r"Repeat stitch(?:es)? (\d+)(?: (?:to|and) (\d+))? (once more|(\S+) more times):")
NUMBERS = ("two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve")
PRIME = "\N{PRIME}"
ARROW, TIMES = "\N{RIGHTWARDS ARROW}", "\N{MULTIPLICATION SIGN}"


def kinds_of(text):
    """What each letter stands for, as the list before the work says: the side, then verbs and numbers."""
    return {
        match[1]: (match[3], [(verb, int(count)) for verb, count in RUN.findall(match[4])])
        for line in text.splitlines()
        if (match := KIND.fullmatch(line))
    }


def tails_of(line):
    """The beads by which one end of a thread is sewn in, and those of the other, as a mark says."""
    parts = line.split(" through ")[1:]
    return [[(code.strip(), place) for code, place in BEAD.findall(part.split(";")[0])] for part in parts]


WORK = "Pick up|Pass through|Sew through|New thread|Sew in|Bring in|Leave a|Thread|Repeat"
BEGINS = re.compile(rf"$|\[ \]|-|Finish| *\d+\. | {{6}}(?:{WORK})")


def unwrapped(text):
    """The lines of the work as they were before they were broken to fit a page."""
    lines = []
    for line in text[text.index("\n[ ] ") :].splitlines():
        if BEGINS.match(line):
            lines.append(line)
        else:
            lines[-1] += " " + line.strip()
    return lines


def unfolded(words, times):
    """Codes in their order out of ``3 x GE4`` and ``MG4``, or ``3×GE4``."""
    found = []
    for word in words:
        count, _, code = word.strip().rpartition(times)
        found += [code] * int(count or 1)
    return found


class Reader:
    """Weaves from the text of a stitch order, in the short form or in full."""

    def __init__(self, text, comb, colour_of):
        self.kinds, self.weaver = kinds_of(text), Weaver(comb, colour_of)
        self.codes = set(colour_of.values())
        self.stitches, self.in_full, self.in_short = [], 0, 0
        # Loops on the way, each with the verbs that are still to be done round it.
        marked = re.search(r"(\S+)\N{PRIME} is \1 in (\S+), and \1 alone in (\S+?);", " ".join(text.split()))
        self.sizes = marked and marked.groups()[1:]
        self.open = []
        self.tails = []
        head, steps = None, []
        for line in [*unwrapped(text), ""]:
            step = STEP.fullmatch(line)
            if head is not None and not step:
                self._full(head, steps)
                head, steps = None, []
            if match := STITCH.fullmatch(line):
                assert int(match[1]) == len(self.stitches) + 1
                if re.match(r"(?:Loops?|Go on|Sew on)\b", match[2]):
                    head = match[2]
                else:
                    self._short(match[2])
            elif step:
                steps.append(step[1])
            elif match := REPEAT.match(line.strip()):
                self._repeat(int(match[1]), int(match[2] or match[1]), match[4])
            elif line.strip().startswith("Sew in the old one"):
                leaving = tails_of(line)
            elif line.strip().startswith("Bring in the new one"):
                self._drain()
                self._tails(*leaving, *tails_of(line))
            elif line.startswith("Finished"):
                self._drain()
                self._tails(*tails_of(line))
        self._drain()

    def _tails(self, leaving, coming):
        """Sew in the end of a thread, then another end, which stands where that one does or at the start."""
        self.tails.append((leaving, coming))
        old = self.weaver.copy()
        for code, place in leaving:
            old.sew(code, place)
        new = self.weaver.copy()
        if coming and coming[-1][1] == new.comb.place(new.bead):
            # What comes out here goes the same way backwards.
            coming = coming[-2::-1]
            (new.towards,) = new.bead - {new.towards}
        else:
            new.bead, first = new.passes[0], new.passes[1]
            (new.towards,) = new.bead - first
        for code, place in coming:
            new.sew(code, place)

    def _woven(self, before):
        self.stitches.append(self.weaver.moves[before:])

    def _short(self, line):
        self.in_short += 1
        before = len(self.weaver.moves)
        work, _, sewn = line.partition(f"{ARROW} ")
        words = work.split()
        self._drain()
        for word in words:
            bare = word.strip("[]")
            if bare in self.weaver.comb.loops:
                self._begin(bare)
            elif bare in self.kinds and self.open and self.open[-1][2] is None:
                turn, runs = self.kinds[bare]
                verbs = [verb for verb, count in runs for _ in range(count)]
                self.open[-1] = (self.open[-1][0], turn, verbs)
            else:
                for code in unfolded([bare], TIMES):
                    self._string(self._in_full(code))
            for _ in range(word.count("]")):
                self._through_until(self._fewer_open())
        if sewn:
            self._drain()
            for code, place in BEAD.findall(sewn):
                self.weaver.sew(self._in_full(code.strip()), place)
        self._woven(before)

    def _in_full(self, code):
        """A code with its size, where codes come in both."""
        if self.sizes is None:
            return code
        in_full = f"{code.rstrip(PRIME)} {self.sizes[0 if code.endswith(PRIME) else 1]}"
        return in_full if in_full in self.codes else code

    def _begin(self, loop):
        """Begin a loop where the thread comes out of a bead of it."""
        self._through_until(lambda: loop in self.weaver.comb.beads[self.weaver.bead])
        self.open.append((loop, None, None))

    def _string(self, code):
        self._through_until(lambda: self.open[-1][2][0] == "pick up")
        loop, turn, verbs = self.open[-1]
        verbs.pop(0)
        assert self.weaver.pick_up(turn, code) == loop
        self._close()

    def _through_until(self, there):
        while not there():
            loop, turn, verbs = self.open[-1]
            assert verbs.pop(0) == "through"
            assert self.weaver.through(turn) == loop
            self._close()

    def _close(self):
        loop, _, verbs = self.open[-1]
        assert (not verbs) == self.weaver.closed(loop)
        if not verbs:
            self.open.pop()

    def _fewer_open(self):
        before = len(self.open)
        return lambda: len(self.open) < before

    def _drain(self):
        self._through_until(lambda: not self.open)

    def _repeat(self, first, last, times):
        many = 1 if times is None else NUMBERS.index(times) + 2 if times in NUMBERS else int(times)
        for stitch in self.stitches[first - 1 : last] * many:
            before = len(self.weaver.moves)
            for turn, code in stitch:
                self.weaver.through(turn) if code is None else self.weaver.pick_up(turn, code)
            self._woven(before)

    def _full(self, head, steps):
        """Weave a stitch told in whole sentences, in the one way that agrees with all they say."""
        self.in_full += 1
        self._drain()
        orders = [order for line in steps for order in orders_of(line)]
        before = len(self.weaver.moves)
        starts = [self.weaver]
        if match := re.search(r"beginning with ([^()]+) \(([^()]+)\)", head):
            (first,) = [bead for bead in self.weaver.comb.beads if self.weaver.comb.place(bead) == match[2]]
            starts = []
            for end in first:
                starts.append(self.weaver.copy())
                starts[-1].begin(first, end, match[1])
            assert orders[0] == ("pick up", match[1])
            # It is bead 1 of those strung.
            orders = [("begin", None), *orders[1:]]
        loops = set(re.findall(r"\d+(?:\.\d+)?", head.split(", from")[0].split(", beginning")[0]))
        turn = (re.search(r"to the (left|right):$", head) or [None, None])[1]
        found = [done for start in starts for done in ways(start, orders, loops, turn)]
        assert found, head
        assert len({tuple(done.passes) for done in found}) == 1, f"ambiguous: {head}"
        self.weaver = found[0]
        self._woven(before)


def orders_of(line):
    """What a sentence asks for, bead by bead."""
    sentence = re.sub(r" Out of [^.]*\([^)]*\)\.$", "", line).rstrip(".")
    orders = []
    for part in re.split(r"; (?=(?:pass|sew) through)", sentence):
        if part.lower().startswith("pick up"):
            told = re.sub(r" \(closes [^)]*\)", "", part[8:])
            told = told.partition(": ")[2] or told
            orders += [("pick up", code) for code in unfolded(told.split(", "), " x ")]
            if part != part[:8] + told and "(closes" in part:
                orders.append(("closes", re.search(r"\(closes ([^)]*)\)", part)[1]))
        elif part.lower().startswith("pass through"):
            for each in re.split(r"[;,] (?!which|the same|top|bottom|left|right)", part[13:]):
                name, _, loop = each.partition(", which closes ")
                again = re.match(r"the (\d+)\w+ of them again", name)
                orders.append(("again", int(again[1])) if again else ("pass", BEAD.search(name).groups()))
                if loop:
                    orders.append(("closes", loop))
        else:
            orders += [("pass", bead) for bead in BEAD.findall(part[12:])]
    # So that the next sentence counts its own beads only.
    return [*orders, ("end", None)]


def ways(weaver, orders, loops, turn):
    """Every way of weaving on that agrees with the orders, the loops named and the first turn."""
    found = [(weaver, [], turn)]
    for verb, what in orders:
        following = []
        for one, strung, first in found:
            following += list(_agreeing(one, strung, first, verb, what, loops))
        found = following
    return [one for one, _, _ in found]


def _agreeing(one, strung, first, verb, what, loops):
    if verb == "begin":
        yield one, [one.bead], first
    elif verb == "end":
        yield one, [], first
    elif verb == "closes":
        if all(one.closed(loop) for loop in re.findall(r"[\d.]+\d", what)):
            yield one, strung, first
    else:
        for turn in [first] if first else [LEFT, RIGHT]:
            other = one.copy()
            try:
                if verb == "pick up":
                    loop = other.pick_up(turn, what)
                else:
                    loop = other.through(turn)
                    code, place = what if verb == "pass" else (None, None)
                    if verb == "pass" and (other.comb.place(other.bead), other.colour_of[place]) != (
                        place,
                        code.strip(),
                    ):
                        continue
                    if verb == "again" and other.bead != strung[what - 1]:
                        continue
            except (AssertionError, TypeError, ValueError):
                continue
            if verb != "pick up" or loop in loops or loop in one.corners:
                yield other, [*strung, other.bead] if verb == "pick up" else strung, None
