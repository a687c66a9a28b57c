"""What is done with a piece once it is woven."""

from dataclasses import dataclass
from typing import Literal

from convert.settings.declaring import THREAD, Settings, option

# As the shape has it: a strip closes round a wrist, other shapes are left as they are.
AS_USUAL = "usual"


@dataclass(frozen=True, kw_only=True)
class FinishSettings(Settings):
    """How a piece is finished, see `convert.piece.finishing`."""

    finish: Literal["usual", "none", "clasp", "sewn", "button", "hook", "ring", "cloth"] = option(
        AS_USUAL,
        "--finish",
        "Tell how to sew on a clasp, close the ends (sewn), add a button and a loop, an earring hook or a"
        " ring to hang it by, or sew it on cloth. usual: a clasp or sewn ends for a strip, else none.",
        THREAD,
    )
