"""The road from a shape and a source of colours to a proven pattern."""

from dataclasses import replace

import numpy as np
import pytest

from convert.colour.srgb import decode
from convert.errors import PaletteError, PictureError, SizeError
from convert.making.frame import Frame
from convert.making.from_picture import FromPicture
from convert.making.ground import Ground
from convert.making.options import MotifOptions, PanelOptions, SizesOptions
from convert.making.over_picture import bead_means, crop_notes, onto_picture
from convert.making.pipeline import make, of_sizes, woven
from convert.making.shapes.flower import Flower
from convert.making.shapes.rectangle import Rectangle
from convert.making.shapes.silhouette import Silhouette
from convert.making.sources.plain import Plain
from convert.palette.model import BeadColour, Palette
from convert.picture.model import Picture
from convert.settings.colour import ColourSettings
from convert.thread.verifier import verify
from convert.weave.beads import bead_size
from convert.weave.tips import tips_of

ONE, TWO = ("11/0", None), ("11/0", "8/0")
COLOURS = {"BLACK": "#000000", "WHITE": "#FFFFFF", "RED": "#C02020", "TEAL": "#208080"}
LABS = {"BLACK": (0, 0, 0), "WHITE": (100, 0, 0), "RED": (41.6, 60.3, 40.5), "TEAL": (48.3, -28.9, -8.5)}
PALETTE = Palette(
    "lake",
    tuple(
        BeadColour(code, "", size, colour, tuple(map(float, LABS[code])))
        for size in ("11/0", "8/0")
        for code, colour in COLOURS.items()
    ),
)


def options(kind=MotifOptions, sizes=ONE, **more):
    return kind(beads=sizes[0], connectors=sizes[1], colours="all", **more)


def codes(pattern):
    return np.array([pattern.palette.entries[entry].code for entry in pattern.bead_colour])


def halves(*, right_alpha=255, shape=(60, 80)):
    """Black to the left, white to the right, which may be transparent."""
    pixels = np.zeros((*shape, 3), np.uint8)
    pixels[:, shape[1] // 2 :] = 255
    alpha = np.full(shape, 255, np.uint8)
    alpha[:, shape[1] // 2 :] = right_alpha
    return Picture("halves", pixels, None if right_alpha == 255 else alpha)


@pytest.mark.parametrize("edge", ["plain", "points"])
@pytest.mark.parametrize("sizes", [ONE, TWO], ids=["one size", "two sizes"])
def test_plain_colours_lie_where_they_are_said_to(sizes, edge):
    second = None if sizes is ONE and edge == "plain" else "TEAL"
    source = Plain(core_colour="RED", connector_colour=second)
    made = make("piece", Flower(rounds=2), source, PALETTE, options(sizes=sizes, edge=edge), copies=3)
    pattern = made.pattern
    weave, found = pattern.weave, codes(pattern)
    beads, points = tips_of(weave).parted(found)
    assert (beads[weave.bead_size == 0] == "RED").all()
    assert (beads[weave.bead_size == 1] == "TEAL").all()
    assert len(points) == (len(tips_of(weave)) if edge == "points" else 0)
    # In one size points are of the second colour; in two the smaller size has them, here that of the cores.
    assert (points == ("TEAL" if sizes is ONE else "RED")).all()
    sized = {bead_size(pattern.palette.entries[entry].size).name for entry in pattern.bead_colour}
    assert sized == {size for size in sizes if size}
    assert (pattern.title, pattern.copies, made.difference, made.nearest, made.gap) == (
        "piece",
        3,
        None,
        None,
        None,
    )
    np.testing.assert_allclose(made.wanted, decode(pattern.palette.rgb()[pattern.bead_colour[: weave.beads]]))
    assert verify(weave, pattern.thread, pattern.supplies).passes == made.thread.passes


def test_without_names_a_plain_piece_has_the_first_bead_and_the_one_least_like_it():
    made = make("piece", Flower(rounds=1), Plain(), PALETTE, options(edge="points"))
    beads, points = tips_of(made.pattern.weave).parted(codes(made.pattern))
    assert (set(beads), set(points)) == ({"BLACK"}, {"WHITE"})


def test_supplies_spare_and_currency_are_those_asked_for():
    asked = options(thread_mm=0.15, needle_mm=0.3, needleful_m=1.5, spare=0.25, currency="EUR")
    pattern = make("piece", Flower(rounds=1), Plain(), PALETTE, asked).pattern
    supplies = pattern.supplies
    assert (supplies.thread_mm, supplies.needle_mm, supplies.needleful_mm) == (0.15, 0.3, 1500.0)
    assert (pattern.spare, pattern.costs_in) == (0.25, "EUR")
    assert make("piece", Flower(rounds=1), Plain(), PALETTE, options()).pattern.spare == 0.1


def test_nothing_is_spared_from_stock_unless_it_is_asked_for():
    shelf = Palette("shelf", tuple(replace(entry, on_hand=10_000) for entry in PALETTE.entries))
    for asked, spare in ((None, 0.0), (0.2, 0.2)):
        chosen = options(stock=True, spare=asked)
        assert make("p", Rectangle(width_mm=30), FromPicture(halves()), shelf, chosen).pattern.spare == spare


def test_each_bead_is_wanted_as_the_picture_has_it_and_shows_it():
    picture = halves()
    made = make("p", Rectangle(width_mm=50), FromPicture(picture), PALETTE, options())
    weave = made.pattern.weave
    scale, offset = onto_picture(picture, made.full)
    x = weave.bead_xy[:, 0] * scale + offset[0]
    reach = np.ptp(weave.cells[..., 0], axis=1).max() * scale
    left, right = x < 40 - reach, x > 40 + reach
    assert left.sum() > 50 < right.sum()
    np.testing.assert_allclose(made.wanted[left], 0, atol=1e-9)
    np.testing.assert_allclose(made.wanted[right], 1, atol=1e-9)
    assert (codes(made.pattern)[left] == "BLACK").all()
    assert (codes(made.pattern)[right] == "WHITE").all()
    assert np.array_equal(made.nearest, made.pattern.bead_colour)
    assert 0 <= made.difference < 10


@pytest.mark.parametrize("limit", [{}, {"avoid": ("TEAL",)}], ids=["free", "bound"])
def test_beads_that_show_none_of_the_picture_are_plain_unless_bound(limit):
    source = FromPicture(halves(right_alpha=0), Plain(core_colour="RED"))
    made = make("p", Flower(rounds=4), source, PALETTE, options(**limit))
    weave, found = made.pattern.weave, codes(made.pattern)
    bare = np.zeros(weave.beads, bool)
    bare[list(made.pattern.unshown)] = True
    middle = (weave.bead_xy[:, 0].min() + weave.bead_xy[:, 0].max()) / 2
    assert 20 < bare.sum() < weave.beads
    assert (weave.bead_xy[bare, 0] > middle).all()
    assert (found[bare] == "RED").all()
    assert (found[weave.bead_xy[:, 0] < middle - 4] == "BLACK").all()


def test_colours_that_would_colour_no_bead_are_refused():
    with pytest.raises(PaletteError, match="--connector-colour has nothing to colour"):
        make("p", Flower(rounds=1), Plain(connector_colour="TEAL"), PALETTE, options(sizes=ONE))
    with pytest.raises(PictureError, match="the picture colours every bead, so that --core-colour would"):
        make("p", Rectangle(), FromPicture(halves(), Plain(core_colour="RED")), PALETTE, options())


def test_a_picture_that_covers_half_of_no_loop_is_refused():
    nothing = Picture("mist", np.zeros((50, 50, 3), np.uint8), np.zeros((50, 50), np.uint8))
    with pytest.raises(PictureError, match="leaves no loop to colour"):
        make("p", Flower(rounds=1), FromPicture(nothing), PALETTE, options())


def test_means_that_are_known_are_not_taken_again():
    picture = halves()
    layout = Silhouette(across=8).lay_out(Frame((bead_size("11/0"),) * 2), picture)
    (means,) = bead_means(picture, [(layout.weave, layout.full)])
    inverse = woven("p", layout, FromPicture(picture, means=1 - means), PALETTE, options(PanelOptions))
    plain = woven("p", layout, FromPicture(picture), PALETTE, options(PanelOptions))
    np.testing.assert_allclose(inverse.wanted, 1 - plain.wanted, atol=1e-12)


@pytest.mark.parametrize("copies", [0, 1001])
def test_impossible_copies_are_refused(copies):
    with pytest.raises(SizeError, match=f"copies are 1 to 1,000, not {copies}"):
        make("p", Flower(rounds=1), Plain(), PALETTE, options(), copies=copies)


def test_limits_of_colour_need_a_picture_and_say_what_does_without():
    with pytest.raises(PictureError, match="--avoid says how beads") as refused:
        make("p", Flower(rounds=1), Plain(), PALETTE, options(avoid=("RED",)))
    assert "--core-colour, --connector-colour, --rule" in refused.value.hint


def test_a_palette_without_a_size_says_which_it_has():
    with pytest.raises(PaletteError, match="no bead of size 15/0") as refused:
        of_sizes(PALETTE, (bead_size("11/0"), bead_size("15/0")))
    assert refused.value.hint.startswith("it has 11/0, 8/0;")
    anywhere = BeadColour("ANY", "", None, "#808080", (53.6, 0.0, 0.0))
    both = Palette("both", (*PALETTE.entries, anywhere))
    kept = of_sizes(both, (bead_size("8/0"),) * 2).entries
    assert {(entry.code, entry.size) for entry in kept} == {
        ("ANY", None),
        *((code, "8/0") for code in COLOURS),
    }


def test_stages_are_told_in_their_order():
    told = []
    make("p", Flower(rounds=1), Plain(), PALETTE, options(), progress=told.append)
    assert told == ["Laying out loops", "Choosing beads", "Planning the thread", "Proving the thread path"]


def test_a_ground_names_beads_in_each_beads_own_size():
    layout = Flower(rounds=2).lay_out(Frame((bead_size("11/0"), bead_size("8/0"))), None)
    ground = Ground(layout, PALETTE, ColourSettings())
    found = [PALETTE.entries[entry] for entry in ground.beads("TEAL")]
    assert {entry.code for entry in found} == {"TEAL"}
    assert [entry.size for entry in found] == [("11/0", "8/0")[size] for size in layout.weave.bead_size]
    with pytest.raises(PaletteError, match="no bead 'GOLD'"):
        ground.beads("GOLD")


def test_options_of_a_comparison_are_those_of_its_panels():
    compared = SizesOptions(
        beads=("8/0",), width_mm=70.0, height_mm=50.0, direction="along", colours=9, max_beads=5, dither=0.5
    )
    assert compared.panel == PanelOptions(
        width_mm=70.0, direction="along", colours=9, max_beads=5, dither=0.5
    )
    assert SizesOptions(height_mm=50.0).panel == PanelOptions(height_mm=50.0)
    assert SizesOptions(across=12).panel == PanelOptions(across=12)
    assert compared.beads_per_hour == 100.0


@pytest.mark.parametrize(("lost", "told"), [(0.048, []), (0.052, ["5% of the picture lies outside"])])
def test_a_twentieth_of_the_picture_may_be_cropped_in_silence(lost, told):
    full = Silhouette(across=12).full(Frame((bead_size("11/0"),) * 2), 1.0).full
    wide, high = np.ptp(full.cells.reshape(-1, 2), axis=0)
    shape = round(4000 * high / wide / (1 - lost)), 4000
    picture = Picture("tall", np.broadcast_to(np.uint8(0), (*shape, 3)))
    notes = crop_notes(picture, full)
    assert [note[: len(words)] for note, words in zip(notes, told, strict=True)] == told


def test_pieces_sampled_together_are_what_they_are_alone():
    """Of sheets that lie alike over the picture one is sampled for all; those that do not are apart."""
    grain = np.random.default_rng(3).integers(0, 256, (90, 120, 3), dtype=np.uint8)
    picture = Picture("grain", grain)
    frames = [Frame((bead_size(name),) * 2) for name in ("11/0", "8/0", "11/0")]
    layouts = [
        Silhouette(across=across).lay_out(frame, picture)
        for frame, across in zip(frames, (9, 9, 10), strict=True)
    ]
    pieces = [(layout.weave, layout.full) for layout in layouts]
    for together, piece in zip(bead_means(picture, pieces), pieces, strict=True):
        np.testing.assert_allclose(together, bead_means(picture, [piece])[0], atol=2e-6)
    assert np.abs(bead_means(picture, pieces)[0] - bead_means(picture, pieces)[1]).max() < 0.5


def test_a_bead_at_the_rim_that_shows_nothing_has_the_mean_of_its_loop():
    alpha = np.zeros((200, 200), np.uint8)
    alpha[60:140, 60:140] = 255
    picture = Picture("square", np.full((200, 200, 3), 200, np.uint8), alpha)
    layout = Silhouette(across=14).lay_out(Frame((bead_size("11/0"),) * 2), picture)
    (means,) = bead_means(picture, [(layout.weave, layout.full)])
    np.testing.assert_allclose(means, decode(np.uint8(200)), atol=1e-9)
