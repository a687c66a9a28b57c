"""Imports run one way: a module may use only modules of layers below its own."""

import ast
from pathlib import Path

import pytest

PACKAGE = Path(__file__).parents[1] / "convert"

# From the bottom to the top; modules of one line do not use each other unless a pair below says so.
LAYERS = [
    {"convert.noise", "convert.sentences"},
    {
        "convert",
        "convert.bounded",
        "convert.errors",
        "convert.near_words",
        "convert.unfinished",
        "convert.units",
    },
    {"convert.settings"},
    {"convert.colour", "convert.weave"},
    {"convert.outline", "convert.picture", "convert.thread"},
    {"convert.palette"},
    {"convert.choice", "convert.piece", "convert.shelf"},
    {"convert.instructions", "convert.making"},
    {"convert.changing", "convert.judging"},
    {"convert.drawing"},
    {"convert.writing"},
    {"convert.work"},
    {"convert.front_door"},
    {"convert.comparisons", "convert.sets"},
    {"convert.cli"},
    {"convert.__main__"},
]
ONLY = {
    "typer": {"convert.cli"},
    "rich": {"convert.cli"},
    "reportlab": {"convert.drawing"},
    "skimage.color": {"convert.colour"},
    "colormath": {"convert.colour"},
    "ortools": {"convert.choice"},
    "svg": {"convert.outline"},
    "networkx": set(),
    "shapely": set(),
}


def modules():
    for path in sorted(PACKAGE.rglob("*.py")):
        parts = path.relative_to(PACKAGE.parent).with_suffix("").parts
        yield ".".join(part for part in parts if part != "__init__"), path


def imports(path):
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{path}: relative import"
            yield node.module


def part_of(name):
    """Name a module by its folder, or by itself at the top of the package."""
    return ".".join(name.split(".")[:2])


def layer(name):
    found = [number for number, names in enumerate(LAYERS) if part_of(name) in names]
    assert found, f"{name} has no layer: add it to LAYERS"
    return found[0]


@pytest.mark.parametrize(
    ("name", "path"), list(modules()), ids=lambda value: value if isinstance(value, str) else ""
)
def test_imports_only_from_below(name, path):
    if name == "convert":
        # At the bottom for its version; it only hands out what the front door offers, when that is asked for.
        assert set(imports(path)) <= {
            "importlib",
            "typing",
            "convert.front_door",
            "convert.comparisons",
            "convert.sets",
        }
        return
    for used in imports(path):
        if used.split(".")[0] == "convert" and part_of(used) != part_of(name):
            assert layer(used) < layer(name), f"{name} imports {used}"


@pytest.mark.parametrize(
    ("name", "path"), list(modules()), ids=lambda value: value if isinstance(value, str) else ""
)
def test_libraries_stay_where_they_belong(name, path):
    for used in imports(path):
        for library, places in ONLY.items():
            if used == library or used.startswith(library + "."):
                assert part_of(name) in places, f"{name} imports {used}"


def test_proof_shares_no_code_with_the_planner():
    proof = ("verifier", "tail_proof")
    used = {name for part in proof for name in imports(PACKAGE / "thread" / f"{part}.py")}
    of_thread = {name for name in used if name.startswith("convert.thread")}
    assert of_thread <= {"convert.thread.steps", "convert.thread.tail_proof"}
