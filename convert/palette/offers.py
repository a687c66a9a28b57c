"""What a palette has to offer for one colour: its nearest beads, those out of stock, and what to mix."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from convert.colour.distances import distance_named
from convert.colour.lab import linear_to_lab
from convert.colour.mixtures import best_mixtures

# Above this a bead is seen as another colour: twice what is hard to tell apart, and a half (CIEDE2000 units).
OUT_OF_REACH = 5.0


@dataclass(frozen=True, slots=True)
class Offer:
    """A bead for a colour.

    Parameters
    ----------
    entry : int
        Entry of the palette.
    difference : float
        Colour difference from what is wanted.
    on_hand : int or None
        Beads on hand, where the palette says.
    """

    entry: int
    difference: float
    on_hand: int | None

    @property
    def missing(self) -> bool:
        """Whether it is known that there is none."""
        return self.on_hand == 0


@dataclass(frozen=True, slots=True)
class Mixture:
    """Two beads between which a colour lies.

    Parameters
    ----------
    first, second : int
        Entries of the palette: the nearest one, and the one on the other side.
    share : float
        Share of the second in the mixture, from 0 to 1.
    difference : float
        Colour difference of the mixture, seen from afar, from what is wanted.
    """

    first: int
    second: int
    share: float
    difference: float


def offers(
    wanted: NDArray[np.float64],
    palette: NDArray[np.float64],
    entries: NDArray[np.int32],
    on_hand: Sequence[int | None],
    count: int,
    distance: str = "ciede2000",
) -> tuple[Offer, ...]:
    """Return the nearest beads that are or may be on hand, and nearer ones that are not, nearest first.

    Parameters
    ----------
    wanted : ndarray of shape (3,), float64
        CIELAB of the colour.
    palette : ndarray of shape (K, 3), float64
        CIELAB of all entries.
    entries : ndarray of shape (E,), int32
        Entries that come in the size asked for.
    on_hand : sequence of int or None, of length K
        Beads on hand, None where the palette does not say.
    count : int
        How many beads that are not known to be missing.
    distance : str
        A name of `convert.colour.distances.DISTANCES`.
    """
    difference = distance_named(distance)(wanted, palette[entries])
    found: list[Offer] = []
    usable = 0
    for place in np.argsort(difference, kind="stable").tolist():
        entry = int(entries[place])
        offer = Offer(entry, float(difference[place]), on_hand[entry])
        found.append(offer)
        usable += not offer.missing
        if usable == count:
            break
    # Missing ones are of interest only before a bead that is there.
    while usable and found[-1].missing:
        found.pop()
    return tuple(found)


def mixture(
    wanted: NDArray[np.float64],
    palette: NDArray[np.float64],
    entries: NDArray[np.int32],
    distance: str = "ciede2000",
) -> Mixture | None:
    """Return the two beads between which a colour lies, None where no second one brings the mixture nearer.

    Parameters
    ----------
    wanted : ndarray of shape (3,), float64
        Linear sRGB of the colour.
    palette : ndarray of shape (K, 3), float64
        Linear sRGB of all entries.
    entries : ndarray of shape (E,), int32
        Entries to choose from.
    distance : str
        A name of `convert.colour.distances.DISTANCES`.
    """
    measure = distance_named(distance)
    lab = linear_to_lab(wanted)
    plain = measure(lab, linear_to_lab(palette[entries]))
    first = int(plain.argmin())
    (second,), (share,) = best_mixtures(wanted[None], palette[entries[[first]]], palette[entries])
    part = float(share)
    mixed = (1 - part) * palette[entries[first]] + part * palette[entries[second]]
    difference = float(measure(lab, linear_to_lab(mixed)))
    if difference >= plain[first]:
        return None
    return Mixture(int(entries[first]), int(entries[second]), part, difference)
