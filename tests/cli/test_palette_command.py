import json

SHELF = (
    "code,name,hex,size,on_hand,on_hand_g,bin\n"
    "A1,[bold]heron[/x] grey,#8899AA,11/0,250,,3\n"
    "B2,kingfisher blue,#1F6FA5,11/0,0,,4\n"
    "B3,nearly kingfisher,#1F70A5,11/0,,2,4\n"
    "C1,swan white,#F7F6F4,8/0,,,5\n"
)


def test_description_of_a_file(combweave, tmp_path):
    (tmp_path / "shelf.csv").write_text(SHELF)
    run = combweave("palette", "shelf.csv")
    assert run.code == 0
    words = " ".join(run.out.split())
    assert "Palette shelf: 4 colours" in words
    # 250 beads, none, and 2 g at the 108 a gram of 11/0.
    assert "11/0 3 466 1" in words
    assert "8/0 1 not said 0" in words
    assert "B2 kingfisher blue and B3 nearly kingfisher: 0." in words
    assert "ignored column 'bin'" in run.err
    assert "ignored" not in run.out


def test_names_are_not_markup(combweave, tmp_path):
    (tmp_path / "shelf.csv").write_text(SHELF.replace("#1F6FA5", "#8899AB"))
    assert "A1 [bold]heron[/x] grey and B2 kingfisher blue" in combweave("palette", "shelf.csv").out


def test_one_json_object(combweave, tmp_path):
    (tmp_path / "shelf.csv").write_text(SHELF)
    run = combweave("palette", "shelf.csv", "--json")
    told = json.loads(run.out)
    assert run.err == ""
    assert told["sizes"] == [
        {"size": "11/0", "colours": 3, "on_hand": 466, "out_of_stock": 1},
        {"size": "8/0", "colours": 1, "on_hand": None, "out_of_stock": 0},
    ]
    assert told["alike"][0]["codes"] == ["B2", "B3"]
    assert 0 < told["alike"][0]["difference"] < 1
    assert len(told["gaps"]) == 5
    assert told["notes"] == ["shelf.csv: ignored column 'bin'"]


def test_assortment_that_ships(combweave):
    assert "Palette lakeside-range: 185 colours" in combweave("palette").out


def test_faults_are_one_line_and_a_hint(combweave, tmp_path):
    (tmp_path / "shelf.csv").write_text(SHELF.replace("#F7F6F4", "whitish").replace("250", "2.5"))
    run = combweave("palette", "shelf.csv")
    assert (run.code, run.out) == (1, "")
    fault, hint = run.err.splitlines()
    assert fault.startswith("Error: shelf.csv, line 2, column on_hand: '2.5' is not")
    assert "line 5, column hex: 'whitish' is not" in fault
    assert hint.startswith("Hint: ")
