"""Faults in what somebody wants changed, gathered so that all are mended in one go."""

from collections.abc import Iterator
from contextlib import contextmanager

from convert.errors import ChangeError, ConvertError

FAULTS_TOLD = 10


class Faults:
    """What is wrong, each with where it stands."""

    def __init__(self) -> None:
        self._found: list[str] = []

    @contextmanager
    def gathered(self, where: str) -> Iterator[None]:
        """Note what is refused in the block, and go on after it.

        Parameters
        ----------
        where : str
            Where it stands, such as ``--set 2.5=RU3`` or ``beak.csv, line 3``.
        """
        try:
            yield
        except ConvertError as error:
            self._found.append(f"{where}: {error}{f'; {error.hint}' if error.hint else ''}")

    def raise_any(self) -> None:
        """Raise what has been found: the first ten, and how many there are.

        Raises
        ------
        ChangeError
            There is a fault.
        """
        count, told = len(self._found), self._found[:FAULTS_TOLD]
        if not told:
            return
        more = f"; and {count - len(told):,} more, {count:,} in all" if count > len(told) else ""
        raise ChangeError("; ".join(told) + more, "mend this and try again; nothing was changed")
