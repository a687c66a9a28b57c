"""What the order of work is made of: sections, new threads, stitches with their steps, repeats, the end.

Beads are numbered as in `Pattern.bead_colour`, loops as in the weave; what they are called and where they lie
says `convert.instructions.names.StitchNames`. No words here: an output that tells the work renders these.
"""

from typing import NamedTuple

NO_BEAD = -1


class Run(NamedTuple):
    """Passes one after the other, all the same way; there may be very many, hence a light tuple.

    Parameters
    ----------
    first : int
        Its first pass, from 0.
    beads : tuple of int
        The beads, in the order of the thread.
    turns : tuple of int
        How the thread turns into each of them, as in `Stitches.turn`.
    loop : int
        Loop that the thread goes round, `NO_LOOP` along the edge and for the first bead of the piece.
    closes : int
        Loop that is whole with the last of the beads, `NO_LOOP` if none is.
    again : tuple of int
        Of beads that are passed through: which of those picked up in the same step each of them is, from 1;
        0 if it is none of them.
    """

    first: int
    beads: tuple[int, ...]
    turns: tuple[int, ...]
    loop: int
    closes: int
    again: tuple[int, ...]


class Step(NamedTuple):
    """One line of a stitch: beads picked up, woven beads passed through, woven beads sewn through to go on.

    Parameters
    ----------
    step : int
        The step of the piece, from 0, as in `Stitches`.
    stitch : int
        Number of its stitch, from 1.
    part, parts : int
        Which step of the stitch it is, from 0, and how many the stitch has.
    new_thread : int
        Number of the working thread that begins here, from 1; 0 if none does.
    comes_from : int
        Bead that the thread comes out of; `NO_BEAD` at the very beginning.
    picked_up : tuple of Run
        Beads that are strung, in order.
    passed : tuple of Run
        Woven beads that the thread passes through while loops are made.
    sewn : tuple of Run
        Woven beads at the end that only take the thread on: no loop is open.
    out_of : int
        Bead that the thread comes out of at the end.
    thread_left_mm : float
        Working thread that is still needed after the step, with its tail.
    """

    step: int
    stitch: int
    part: int
    parts: int
    new_thread: int
    comes_from: int
    picked_up: tuple[Run, ...]
    passed: tuple[Run, ...]
    sewn: tuple[Run, ...]
    out_of: int
    thread_left_mm: float


class Stitch(NamedTuple):
    """What is done in one go: a loop and those inside it, tips, or the way to the next place.

    Parameters
    ----------
    number : int
        Its number, from 1.
    thread : int
        Number of the working thread, from 1.
    comes_from : int
        Bead that the thread comes out of; `NO_BEAD` for the first stitch.
    turn : int
        First turn, as in `Stitches.turn`.
    goes_on : int
        Loop begun by an earlier stitch that this one goes on round at first, `NO_LOOP` if it does not.
    loops : tuple of int
        Loops begun, in that order.
    nested : bool
        Whether the later loops are made inside the time of the first.
    tips : tuple of int
        Small beads at tips, in that order.
    steps : tuple of Step
        Its steps.
    out_of : int
        Bead that the thread comes out of at the end.
    thread_left_mm : float
        Working thread that is still needed after the stitch, with its tail.
    """

    number: int
    thread: int
    comes_from: int
    turn: int
    goes_on: int
    loops: tuple[int, ...]
    nested: bool
    tips: tuple[int, ...]
    steps: tuple[Step, ...]
    out_of: int
    thread_left_mm: float


class NewThread(NamedTuple):
    """The mark where a working thread begins, before the stitch that is sewn with it first.

    Parameters
    ----------
    number, threads : int
        Which thread it is, from 1, of how many.
    comes_from : int
        Bead that the old thread comes out of, and the new one too; `NO_BEAD` for the first.
    tail_mm : float
        Tail to leave on it, and on the old thread.
    leaves, comes : tuple of int
        Beads through which the old thread is sewn in, and those through which the new one comes, the last of
        them `comes_from`; empty where that is left to the weaver, and for the first thread.
    held : bool
        Of the first thread: whether its first loop is passed twice, and needs no bead to stop it.
    """

    number: int
    threads: int
    comes_from: int
    tail_mm: float
    leaves: tuple[int, ...] = ()
    comes: tuple[int, ...] = ()
    held: bool = False


class Repeat(NamedTuple):
    """Stitches that are done again just as they were, but for the loops they weave.

    Parameters
    ----------
    first, last : int
        Numbers of the stitches to repeat.
    times : int
        How many times more they are done.
    again_first, again_last : int
        Numbers that they have then.
    loops : tuple of int
        Loops that are begun the last time.
    out_of : int
        Bead that the thread comes out of after the last time.
    thread_left_mm : float
        Working thread that is still needed then, with its tail.
    """

    first: int
    last: int
    times: int
    again_first: int
    again_last: int
    loops: tuple[int, ...]
    out_of: int
    thread_left_mm: float


class Ending(NamedTuple):
    """The end of the work.

    Parameters
    ----------
    thread_ends : int
        Thread ends that are still to be sewn in.
    last, first : tuple of int
        Beads through which the end of the last thread and the beginning of the first one are sewn in; empty
        where that is left to the weaver.
    """

    thread_ends: int
    last: tuple[int, ...] = ()
    first: tuple[int, ...] = ()


Entry = NewThread | Stitch | Repeat | Ending


class Section(NamedTuple):
    """Stitches under one heading.

    Parameters
    ----------
    first, end : int
        Numbers of its stitches, from 1, `end` not counted.
    lines : tuple of int
        Rows or rounds that begin in it, from 0, ascending; round 0 is the centre.
    direction : str
        Which way it is worked: ``right``, ``left``, ``down`` or ``up``; empty where it is not clearly one.
    tips : bool
        Whether it is the last round, of the small beads at the tips.
    folds : tuple of (int, int, int)
        What makes it up: number of the first stitch, how many stitches are told from there, and how often
        they are done.
    closes : bool
        Whether it is what closes a ring: the last loop of each row.
    """

    first: int
    end: int
    lines: tuple[int, ...]
    direction: str
    tips: bool
    folds: tuple[tuple[int, int, int], ...]
    closes: bool = False
