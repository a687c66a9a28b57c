"""From the page back into the program: what was painted and marked by hand is made anew."""

import numpy as np
from scipy.spatial import cKDTree

from convert import change_pattern, read_pattern
from convert.piece.pattern import Wishes
from convert.weave.shapes import Sheet
from tests.drawing.edit_desk import make_pattern


def test_what_a_finger_has_painted_and_marked_is_redrawn(desk_of):
    woven = np.ones((4, 5), bool)
    woven[0, 0] = False
    pattern = make_pattern(shape=Sheet(woven))
    desk = desk_of(pattern)
    desk.choose("C3")
    row = np.flatnonzero(pattern.weave.bead_row == 4).tolist()
    desk.fingers([desk.bead_at(bead) for bead in row])
    desk.tool("loops")
    weave, pitch = pattern.weave, pattern.weave.spacing.pitch_mm
    corner = desk.names.loops.index("4.5")
    desk.tab.touchscreen.tap(*desk.loop_at(corner))
    first = weave.loop_xy[desk.names.loops.index("1.2")]
    desk.tab.touchscreen.tap(*desk.at(first[0] - pitch, first[1]))

    read = read_pattern(desk.saved().encode())
    assert read.pattern.wishes == Wishes(("4.5",), ("1.1",))
    made = change_pattern(read).pattern
    expected = np.ones((4, 5), bool)
    expected[3, 4] = False
    assert made.shape.woven.tolist() == expected.tolist()
    assert made.wishes == Wishes()
    # Beads that are still there lie where they lay, as they were painted.
    _, same = cKDTree(made.weave.bead_xy - made.weave.loop_xy.min(axis=0)).query(
        weave.bead_xy - weave.loop_xy.min(axis=0)
    )
    codes = [made.palette.entries[entry].code for entry in made.bead_colour[same[row]].tolist()]
    assert codes == ["C3"] * len(row)
