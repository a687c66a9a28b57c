"""How large a module and a function may grow, and where imports stand."""

import ast
from pathlib import Path

import pytest

PACKAGE = Path(__file__).parents[1] / "convert"
MOST_LINES, MOST_IN_FUNCTION = 400, 60
# What takes long to load and is not always needed.
HEAVY = {"scipy", "skimage", "colormath", "reportlab", "ortools", "rich", "pi_heif", "python_calamine"}
# The command line starts quickly because its commands import the rest of the program when they are run; the
# entry point tells of an interrupt while it loads.
LATE = {"cli", "__main__.py"}


def trees():
    found = []
    for path in sorted(PACKAGE.rglob("*.py")):
        name = path.relative_to(PACKAGE).as_posix()
        found.append(pytest.param(path, ast.parse(path.read_text(encoding="utf-8")), id=name))
    return found


def functions(tree):
    return [node for node in ast.walk(tree) if isinstance(node, ast.FunctionDef)]


@pytest.mark.parametrize(("path", "tree"), trees())
def test_modules_are_short(path, tree):
    assert len(path.read_text(encoding="utf-8").splitlines()) <= MOST_LINES


@pytest.mark.parametrize(("path", "tree"), trees())
def test_functions_are_short(path, tree):
    """Docstrings do not count: they say what shapes, units and errors there are, however many."""
    for function in functions(tree):
        lines = function.end_lineno - function.lineno + 1
        if ast.get_docstring(function):
            lines -= function.body[0].end_lineno - function.body[0].lineno + 1
        assert lines <= MOST_IN_FUNCTION, function.name


@pytest.mark.parametrize(("path", "tree"), trees())
def test_only_heavy_libraries_are_imported_late(path, tree):
    if path.relative_to(PACKAGE).parts[0] in LATE:
        return
    for function in functions(tree):
        for node in ast.walk(function):
            if isinstance(node, ast.Import):
                names = {alias.name.split(".")[0] for alias in node.names}
            elif isinstance(node, ast.ImportFrom):
                names = {node.module.split(".")[0]}
            else:
                continue
            assert names <= HEAVY, function.name
