"""Colours by a rule: stripes, rounds, checks, chevrons, shades and the like, without a picture."""

from dataclasses import dataclass
from typing import TYPE_CHECKING

from convert.errors import RuleError
from convert.making.rule_text import parse_rule
from convert.making.sources.source import Source
from convert.settings.declaring import COLOUR, option

if TYPE_CHECKING:
    from convert.making.ground import Ground, Painting

RANDOM = "random"


@dataclass(frozen=True, kw_only=True)
class ByRule(Source):
    """Colours by a rule, see `convert.making.rule_text`.

    Raises
    ------
    RuleError
        The rule cannot be read, or chance has no part in it though a seed is given.
    """

    rule: str = option(
        "",
        "--rule",
        "Colours without a picture: 'rows 3A 1B', columns, rounds, diagonal, 'chevron A B 2', 'checks A B 2',"
        " 'cores A connectors B', 'random A 3 B 1', 'shade A B'; A and B are codes or names.",
        COLOUR,
        metavar="RULE",
    )
    seed: int | None = option(
        None, "--seed", "Another throw of the rule random; any whole number.", COLOUR, metavar="N"
    )

    def __post_init__(self) -> None:
        super().__post_init__()
        if self.seed is not None and not self.rule:
            raise RuleError("--seed goes with a rule", f"give --rule '{RANDOM} A 3 B 1', or leave it out")
        if parse_rule(self.rule).kind != RANDOM and self.seed is not None:
            raise RuleError("--seed is for beads thrown at random", f"leave it out, or begin with {RANDOM}")
        if self.seed is not None and self.seed < 0:
            raise RuleError(f"--seed is 0 or more, not {self.seed}")

    @property
    def title(self) -> str:
        """What a piece coloured so is called."""
        return parse_rule(self.rule).kind.capitalize()

    def paint(self, ground: "Ground") -> "Painting":
        """Return the bead of each place."""
        return ground.ruled(parse_rule(self.rule), self.seed or 0)
