"""Sets of pieces through the front door: one choice of colours, one stock, one list."""

import csv
import io
import re
from dataclasses import replace

import numpy as np
import pypdfium2 as pdfium
import pytest
from ortools.sat.python import cp_model

from convert import (
    BookletSettings,
    ConvertError,
    Flower,
    MotifOptions,
    Palette,
    PanelOptions,
    Plain,
    SetPiece,
    make_panel,
    make_set,
    read_pattern,
    read_picture,
    set_summary,
    write_outputs,
    write_set,
)
from convert.colour.ciede2000 import ciede2000
from convert.colour.lab import linear_to_lab, srgb_to_lab
from convert.palette.model import BeadColour
from convert.sets import check_names, processes_of
from convert.weave.symmetry import alike
from tests.choice.exact_median import best_possible

HEXES = ("#F4F1E8", "#3E6B2F", "#1F5F8B", "#111111", "#D98E2B", "#B7A0C8", "#8E9194", "#9DC967")


def lake(on_hand=None, size="11/0", codes="ABCDEFGH"):
    labs = srgb_to_lab(np.array([[int(one[at : at + 2], 16) for at in (1, 3, 5)] for one in HEXES], np.uint8))
    return Palette(
        "lake",
        tuple(
            BeadColour(
                code,
                f"colour {code}",
                size,
                shade,
                tuple(lab),
                on_hand=None if on_hand is None else on_hand[number],
                per_gram=100.0,
                pack_g=10.0,
                price=2.5,
            )
            for number, (code, shade, lab) in enumerate(zip(codes, HEXES, labs.tolist(), strict=False))
        ),
    )


def picture(seed, name, squares=(3, 4)):
    draw = np.random.default_rng(seed)
    pixels = draw.integers(0, 256, (*squares, 3), dtype=np.uint8).repeat(20, 0).repeat(20, 1)
    return replace(read_picture(pixels), name=name)


def two_pieces(**shared):
    """A panel, and a flower of which two are made."""
    return [
        SetPiece("panel", PanelOptions(across=4, **shared), picture(1, "reeds")),
        SetPiece("pair", MotifOptions(copies=2, **shared), picture(2, "lily"), Flower(rounds=1)),
    ]


def asked(made):
    """What the pictures ask of each bead, in CIELAB, with how many copies of the bead there are."""
    labs, copies = [], []
    for pattern in made.collection.patterns:
        light = pattern.wanted.astype(float) / 65535
        linear = np.where(light <= 0.04045, light / 12.92, ((light + 0.055) / 1.055) ** 2.4)
        labs.append(linear_to_lab(linear))
        copies.append(np.full(len(light), pattern.pieces))
    return np.concatenate(labs), np.concatenate(copies)


def loss(made):
    """The sum of differences over all beads of all copies."""
    lab, copies = asked(made)
    chosen = np.concatenate([one.palette.labs()[one.bead_colour] for one in made.collection.patterns])
    return float(copies @ ciede2000(lab, chosen))


def used(made):
    """Beads of each code over all pieces, counted from the patterns."""
    found = {}
    for pattern in made.collection.patterns:
        for entry, count in zip(*np.unique(pattern.bead_colour, return_counts=True), strict=True):
            code = pattern.palette.entries[entry].code
            found[code] = found.get(code, 0) + int(count) * pattern.pieces
    return found


@pytest.mark.parametrize("count", [2, 3, 4])
def test_the_best_few_colours_are_those_of_all_pieces_together(count):
    """Against an exact p-median by HiGHS over the beads of both, those of the pair counted twice."""
    made = make_set("lake", two_pieces(colours=count), lake())
    lab, copies = asked(made)
    best = best_possible(ciede2000(lab[:, None], lake().labs()), copies.astype(float), count)
    assert len(used(made)) <= count
    # The pattern keeps light in 16 bits.
    assert loss(made) == pytest.approx(best, rel=1e-3)
    assert made.colours_gap < 0.01


def test_copies_weigh_in_the_choice():
    """A pair made by very many decides which colours there are."""
    few, many = (
        make_set(
            "lake",
            [
                SetPiece("panel", PanelOptions(across=6, colours=2), picture(1, "reeds")),
                SetPiece("pair", MotifOptions(copies=n, colours=2), picture(2, "lily"), Flower(rounds=1)),
            ],
            lake(),
        )
        for n in (1, 200)
    )
    alone = make_set("lake", [replace(two_pieces(colours=2)[1])], lake())
    assert set(used(many)) == set(used(alone))
    assert set(used(few)) != set(used(many))


def least_within(made, stock):
    """The least loss over both pieces within stock, by CP-SAT."""
    lab, copies = asked(made)
    cost = np.rint(ciede2000(lab[:, None], lake().labs()) * copies[:, None] * 10_000).astype(int)
    model = cp_model.CpModel()
    beads = np.array([[model.new_bool_var("") for _ in row] for row in cost])
    for row in beads:
        model.add_exactly_one(row.tolist())
    for entry, count in enumerate(stock):
        model.add(sum(int(n) * bead for n, bead in zip(copies, beads[:, entry], strict=True)) <= count)
    model.minimize(sum((cost * beads).ravel().tolist()))
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    assert solver.solve(model) == cp_model.OPTIMAL
    return solver.objective_value / 10_000


@pytest.mark.parametrize("students", [None, 3])
def test_stock_is_shared_and_the_loss_over_the_set_is_the_least(students):
    times = students or 1
    stock = [times * n + times - 1 for n in (21, 17, 23, 9, 31, 5, 13, 40)]
    pieces = two_pieces(stock=True, students=students)
    made = make_set("lake", pieces, lake(stock))
    taken = used(made)
    assert all(taken.get(code, 0) <= there for code, there in zip("ABCDEFGH", stock, strict=True))
    assert loss(made) == pytest.approx(least_within(made, stock), rel=1e-3)
    # Each piece alone would be within its stock, and both together would not.
    alone = [make_set("lake", [piece], lake(stock)) for piece in pieces]
    both = {code: sum(used(one).get(code, 0) for one in alone) for code in "ABCDEFGH"}
    assert any(both[code] > there for code, there in zip("ABCDEFGH", stock, strict=True))
    assert sum(map(loss, alone)) < loss(made)


def test_a_search_in_several_pieces_stays_within_the_stock_of_all():
    stock = [60, 60, 60, 40, 60, 30, 40, 60]
    pieces = [
        replace(piece, options=replace(piece.options, dither=0.8, dither_kind="search"))
        for piece in two_pieces(stock=True)
    ]
    made = make_set("lake", pieces, lake(stock))
    taken = used(made)
    assert all(taken.get(code, 0) <= there for code, there in zip("ABCDEFGH", stock, strict=True))
    plain = make_set("lake", two_pieces(stock=True), lake(stock))
    assert any(
        (one.bead_colour != other.bead_colour).any()
        for one, other in zip(made.collection.patterns, plain.collection.patterns, strict=True)
    )


def test_what_is_missing_is_told_by_piece():
    with pytest.raises(ConvertError, match=r"cannot fill the set: .* of 11/0 in p\w+ .*missing"):
        make_set("lake", two_pieces(stock=True), lake([10] * 8))


E_FLOWER = Plain(core_colour="E")


def plain_and_panel(**shared):
    return [
        SetPiece("plain", MotifOptions(**shared), None, Flower(rounds=1), E_FLOWER),
        SetPiece("panel", PanelOptions(across=4, **shared), picture(1, "reeds")),
    ]


def test_colours_of_plain_pieces_are_among_the_few():
    made = make_set("lake", plain_and_panel(colours=2), lake())
    assert len(used(made)) == 2
    assert "E" in used(made)
    with pytest.raises(ConvertError, match=r"2 colours are to be kept .* more than the 1 to use"):
        make_set("lake", plain_and_panel(colours=1, keep=("F",)), lake())


def test_plain_pieces_take_their_beads_of_the_stock_first():
    beads = make_set("lake", plain_and_panel()[:1], lake()).collection.patterns[0].weave.beads
    stock = [100] * 4 + [beads + 2] + [100] * 3
    made = make_set("lake", plain_and_panel(stock=True), lake(stock))
    assert used(made).get("E") <= beads + 2
    with pytest.raises(
        ConvertError, match=rf"plain: {beads} beads E colour E in 11/0 are needed and {beads - 1}"
    ):
        make_set("lake", plain_and_panel(stock=True), lake([100] * 4 + [beads - 1] + [100] * 3))


def test_auto_takes_as_many_colours_as_pay_for_all():
    shelf = lake()
    more = tuple(
        replace(entry, code=f"{entry.code}{at}", hex=entry.hex, lab=(entry.lab[0] * 0.9 + at, *entry.lab[1:]))
        for entry in shelf.entries
        for at in range(4)
    )
    made = make_set("lake", two_pieces(), Palette("many", more))
    assert made.colours_reason is None or "colours: from 1 m" in made.colours_reason
    assert made.collection.colours <= len(more)


def test_one_piece_is_woven_as_it_would_be_alone():
    shown, options = picture(3, "reeds"), PanelOptions(across=6, colours=3)
    alone = make_panel(shown, lake(), options)
    made = make_set("lake", [SetPiece("reeds", options, shown)], lake())
    assert (made.collection.patterns[0].bead_colour == alone.pattern.bead_colour).all()
    assert made.colours_gap == alone.colours_gap
    assert made.made[0].difference == alone.difference


def test_pieces_of_other_sizes_share_codes():
    both = Palette("both", (*lake().entries, *lake(size="15/0").entries))
    pieces = [
        SetPiece("panel", PanelOptions(across=4, colours=3), picture(1, "reeds")),
        SetPiece("fine", PanelOptions(across=5, beads="15/0", colours=3), picture(2, "lily")),
    ]
    made = make_set("lake", pieces, both)
    assert len(used(made)) <= 3
    assert {row.size.name for row in made.collection.rows} == {"11/0", "15/0"}
    assert {entry.size for entry in made.collection.patterns[1].palette.entries} == {"15/0"}


@pytest.mark.parametrize(
    ("names", "message"),
    [
        (["reed", "reed"], "two pieces of the set are called 'reed'"),
        (["reed", "Reed"], "called 'reed' and 'Reed'"),
        (["../reed"], "cannot be called '../reed'"),
        (["reed\n"], "cannot be called"),
        (["x" * 61], "cannot be called"),
        ([".reed"], "cannot be called"),
        (["beads"], "the list of beads has such a column"),
        (["set.pdf"], "has a file of that name"),
        ([], "1 to 50 pieces, not 0"),
    ],
)
def test_names_that_no_folder_can_have_are_refused(names, message):
    with pytest.raises(ConvertError, match=message):
        check_names(names)


def test_what_is_shared_must_agree():
    first, second = two_pieces(colours=3)
    with pytest.raises(ConvertError, match="share colours, but it is 3 in panel and 4 in pair"):
        make_set("lake", [first, replace(second, options=replace(second.options, colours=4))], lake())


def test_a_fault_is_told_with_its_piece():
    first, second = two_pieces()
    with pytest.raises(ConvertError, match="pair: copies are 1 to 1,000, not 0"):
        make_set("lake", [first, replace(second, options=replace(second.options, copies=0))], lake())
    with pytest.raises(ConvertError, match="a panel needs a picture, or a rule"):
        make_set("lake", [replace(first, picture=None)], lake())


def rows_of(path):
    return list(csv.DictReader(io.StringIO(path.read_text(encoding="utf-8"))))


def test_a_set_is_written_as_a_folder_with_a_folder_for_each_piece(tmp_path):
    made = make_set("lake", two_pieces(colours=4, students=3), lake())
    write_set(made, tmp_path / "out")
    files = {path.name for path in (tmp_path / "out").iterdir()}
    assert files == {"beads.csv", "kit.csv", "labels.pdf", "pair", "panel", "set.pdf"}
    for name, pattern in zip(made.collection.names, made.collection.patterns, strict=True):
        again = read_pattern(tmp_path / "out" / name / "pattern.json")
        assert (again.pattern.bead_colour == pattern.bead_colour).all()
        assert (again.pattern.students, again.pattern.title) == (3, name)
        assert not (tmp_path / "out" / name / "kit.csv").exists()
        own = rows_of(tmp_path / "out" / name / "beads.csv")
        assert "to_buy" not in own[0]
        assert sum(int(row["beads"]) for row in own) == pattern.pieces * len(pattern.bead_colour)


def test_the_list_has_a_column_for_each_piece(tmp_path):
    made = make_set("lake", two_pieces(colours=4, students=3), lake([50] * 8))
    write_set(made, tmp_path / "out")
    rows = rows_of(tmp_path / "out" / "beads.csv")
    totals = used(made)
    for row in rows:
        assert int(row["panel"]) + int(row["pair"]) == int(row["beads"]) == totals[row["code"]]
        # A bag has a tenth to spare, up to a whole bead; three bags, of which 50 beads are there.
        in_bag = totals[row["code"]] // 3
        wanted = 3 * (in_bag + -(-in_bag // 10))
        assert int(row["to_buy"]) == max(0, wanted - 50)
        assert int(row["packs"]) == -(-max(0, wanted - 50) // 1000)
        assert float(row["cost"]) == 2.5 * int(row["packs"])
    panel, pair = made.collection.patterns
    assert sum(int(row["panel"]) for row in rows) == 3 * panel.weave.beads
    assert sum(int(row["pair"]) for row in rows) == 6 * pair.weave.beads


def test_processes_write_the_same(tmp_path):
    made = make_set("lake", two_pieces(colours=4), lake())
    assert processes_of(made) == 1
    for processes in (1, 2):
        write_set(made, tmp_path / str(processes), processes=processes)
    one, two = (
        {path.relative_to(root): path.read_bytes() for path in sorted(root.rglob("*")) if path.is_file()}
        for root in (tmp_path / "1", tmp_path / "2")
    )
    assert one == two


def test_nothing_is_left_where_a_piece_cannot_be_written(tmp_path, monkeypatch):
    made = make_set("lake", two_pieces(), lake())

    def fails(*given):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("convert.sets.write_set_files", fails)
    with pytest.raises(ConvertError, match="No space left"):
        write_set(made, tmp_path / "out")
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("alone", [True, False])
def test_a_student_gets_nothing_of_the_shop(tmp_path, alone):
    """No file has a price, a stock or the cost of anything in it; the teacher's have."""
    shelf = lake([7531] * 8)
    shelf = Palette("lake", tuple(replace(entry, price=91.37, currency="EUR") for entry in shelf.entries))
    for edition in ("student", None):
        out = tmp_path / str(edition)
        booklet = BookletSettings(edition=edition, labour=6317.25)
        if alone:
            made = make_panel(picture(1, "reeds"), shelf, PanelOptions(across=4, students=3))
            write_outputs(made, out, booklet)
        else:
            write_set(make_set("lake", two_pieces(students=3), shelf), out, booklet)
        files = [path for path in out.rglob("*") if path.suffix in (".csv", ".json", ".txt", ".html", ".svg")]
        words = "\n".join(map(told_by, files)) + pdf_text(out)
        told = [
            secret
            for secret in ("7531", "7,531", "91.37", "6,317", "EUR", "to_buy", "on hand")
            if secret in words
        ]
        assert bool(told) == (edition is None)
        names = {path.name for path in out.rglob("*")}
        assert {"kit.csv", "labels.pdf"} & names == (
            set() if edition == "student" else {"kit.csv", "labels.pdf"}
        )
        assert ("Name" in words and "Date" in words) == (edition == "student")


def told_by(path):
    """What a file says; of the page to paint on its data, since its program knows of stock and costs."""
    text = path.read_text(encoding="utf-8")
    return (
        text
        if path.name != "edit.html"
        else "".join(re.findall(r'type="application/json"[^>]*>(.*?)</script>', text, re.DOTALL))
    )


def pdf_text(folder):
    return "".join(
        page.get_textpage().get_text_range()
        for path in folder.rglob("*.pdf")
        for page in pdfium.PdfDocument(path)
    )


def test_the_summary_adds_up():
    made = make_set("lake", two_pieces(colours=4, students=3), lake())
    figures = set_summary(made)
    assert figures["beads"] == sum(used(made).values())
    assert figures["beads"] == sum(piece["beads"] for piece in figures["pieces"].values())
    assert figures["thread_mm"] == pytest.approx(
        sum(piece["thread_mm"] for piece in figures["pieces"].values()), abs=0.2
    )
    for row in figures["materials"]:
        assert sum(row["by_piece"].values()) == row["beads"] == used(made)[row["code"]]


def test_whose_a_set_is_stands_in_all_of_it(tmp_path):
    shared = {"maker": "Alder workshop", "licence": "CC BY 4.0", "year": 2026}
    first, second = two_pieces(**shared)
    second = replace(second, options=replace(second.options, title="Water lily"))
    made = make_set("Lake & reeds", [first, second], lake())
    assert [pattern.title for pattern in made.collection.patterns] == ["panel", "Water lily"]
    write_set(made, tmp_path / "out")
    document = pdfium.PdfDocument(tmp_path / "out" / "set.pdf")
    assert document.get_metadata_value("Title") == "Lake & reeds"
    assert document.get_metadata_value("Author") == "Alder workshop"
    pages = [page.get_textpage().get_text_range() for page in document]
    assert all("Pattern by Alder workshop, 2026" in page for page in (pages[0], pages[-1]))
    assert "Lake & reeds: pair" in pages[-1]
    assert (tmp_path / "out" / "pair" / "pattern.json").is_file()


def test_the_booklet_of_a_set_leads_to_each_piece(tmp_path):
    made = make_set("lake", two_pieces(students=2), lake())
    write_set(made, tmp_path / "out")
    document = pdfium.PdfDocument(tmp_path / "out" / "set.pdf")
    toc = [(entry.get_title(), entry.level, entry.get_dest().get_index()) for entry in document.get_toc()]
    assert [title for title, level, _ in toc if level == 0] == ["Cover of the set", "Kits", "panel", "pair"]
    cover = document[0].get_textpage().get_text_range()
    for name, _, page in toc[2:]:
        if name in ("panel", "pair"):
            assert f"page {page + 1}" in cover
            assert document[page].get_textpage().get_text_range().startswith(name)


def test_mirrored_pieces_stay_mirrored_within_the_stock_of_all():
    stock = [21, 17, 23, 11, 31, 7, 13, 40]
    first, second = two_pieces(stock=True)
    first = replace(first, options=replace(first.options, mirror="across"))
    made = make_set("lake", [first, second], lake(stock))
    taken = used(made)
    assert all(taken.get(code, 0) <= there for code, there in zip("ABCDEFGH", stock, strict=True))
    pattern = made.collection.patterns[0]
    alike_first = alike(pattern.weave, pattern.symmetry)
    assert len(np.unique(alike_first)) < 0.7 * pattern.weave.beads
    assert (pattern.bead_colour == pattern.bead_colour[alike_first[: len(pattern.bead_colour)]]).all()
    # Beads that stand for two take two: still the least loss there can be.
    assert loss(made) == pytest.approx(least_alike(made, stock), rel=1e-3)


def least_alike(made, stock):
    """The least loss within stock with mirrored beads alike, by CP-SAT."""
    lab, copies = asked(made)
    pattern = made.collection.patterns[0]
    own = alike(pattern.weave, pattern.symmetry)[: pattern.weave.beads]
    group = np.concatenate([own, np.arange(pattern.weave.beads, len(lab))])
    cost = np.rint(ciede2000(lab[:, None], lake().labs()) * copies[:, None] * 10_000).astype(int)
    model = cp_model.CpModel()
    beads = {}
    for bead in np.unique(group).tolist():
        beads[bead] = [model.new_bool_var("") for _ in stock]
        model.add_exactly_one(beads[bead])
    for entry, count in enumerate(stock):
        model.add(
            sum(int(n) * beads[of][entry] for n, of in zip(copies, group.tolist(), strict=True)) <= count
        )
    model.minimize(
        sum(
            int(cost[bead, entry]) * beads[of][entry]
            for bead, of in enumerate(group.tolist())
            for entry in range(len(stock))
        )
    )
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    assert solver.solve(model) == cp_model.OPTIMAL
    return solver.objective_value / 10_000


def test_ends_that_are_woven_together_take_no_clasp():
    options = PanelOptions(across=12, join="ends", finish="clasp")
    with pytest.raises(
        ConvertError, match="ring: a piece whose ends are woven together has none for --finish"
    ):
        make_set("lake", [SetPiece("ring", options, picture(1, "reeds"))], lake())
