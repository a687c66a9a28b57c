"""What is known of a piece besides its beads and thread: whose it is, how it is seen, what is wished."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Imprint:
    """Whose a pattern is, and what others may do with it; each may be left out.

    Parameters
    ----------
    maker : str
        Who designed it.
    licence : str
        What others may do with it.
    year : int or None
        Of the design.
    """

    maker: str = ""
    licence: str = ""
    year: int | None = None

    @property
    def made(self) -> str:
        """Who and when, such as ``Alder workshop, 2026``; empty where neither is said."""
        return ", ".join(part for part in (self.maker, str(self.year or "")) if part)

    @property
    def line(self) -> str:
        """All of it as people read it; empty where nothing is said."""
        by = f"Pattern by {self.made}" if self.maker else self.made
        return " · ".join(part for part in (by, self.licence and f"Licence: {self.licence}") if part)

    @property
    def rights(self) -> str:
        """All of it as files tell it of themselves; empty where nothing is said."""
        owner = " ".join(part for part in (str(self.year or ""), self.maker) if part)
        owned = f"© {owner}" if self.maker else owner
        return ". ".join(part for part in (owned, self.licence and f"Licence: {self.licence}") if part)


@dataclass(frozen=True, slots=True)
class Outlook:
    """From where a piece is seen, and what lies behind it.

    Parameters
    ----------
    backing : str
        Colour of what lies behind the beads, ``#RRGGBB``.
    view_distance_m : float
        Distance of the eye.
    """

    backing: str = "#FFFFFF"
    view_distance_m: float = 1.0


@dataclass(frozen=True, slots=True)
class Looks:
    """How one choice of beads looks, see `convert.judging.afar.Judgement`.

    Parameters
    ----------
    seen, seen_with_gaps : float
        Mean S-CIELAB difference to beads of just the picture's colours, both filling their cells, and with
        the backing in the gaps; by CIEDE2000.
    lone_beads, colour_changes : int
        Beads of a colour that no neighbour has, and pairs of neighbours of unlike colour.
    """

    seen: float
    seen_with_gaps: float
    lone_beads: int
    colour_changes: int


@dataclass(frozen=True, slots=True)
class Figures:
    """How well a piece showed its picture when its file was written.

    Parameters
    ----------
    colour_difference : float
        Mean CIEDE2000 difference of the beads to the picture's colours.
    chosen : Looks
        The beads of the pattern.
    nearest : Looks or None
        The nearest beads, which may be the chosen ones; None where that is not known.
    colours_gap : float or None
        By what share another choice of as many colours could be better at most.
    colours_reason : str or None
        Why there are as many colours as there are.
    """

    colour_difference: float
    chosen: Looks
    nearest: Looks | None = None
    colours_gap: float | None = None
    colours_reason: str | None = None


@dataclass(frozen=True, slots=True)
class Wishes:
    """Loops that somebody wants changed who could not, since that changes the thread.

    Parameters
    ----------
    drop, add : tuple of str
        Loops to leave out and to add, by the names that the chart gives them, see `convert.changing.places`.
    """

    drop: tuple[str, ...] = ()
    add: tuple[str, ...] = ()


NOBODY, USUAL, NO_WISHES = Imprint(), Outlook(), Wishes()
