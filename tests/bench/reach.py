"""Which tests reach which functions: for `bench_slips`, which need not run a test that cannot notice a slip.

Every function of a copy of ``convert/`` is made to note that it was called, and a plugin of pytest asks after
each test which were, those of its fixtures included. What a test does not call it cannot notice, as long as
nothing is kept from one test to the next: caches are emptied before each test, and what is called while tests
are imported counts for all of them. What objects keep that the tests of a file share counts for the file.
"""

import ast
import subprocess
import sys
import time
from collections import defaultdict
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import pytest

Function = tuple[str, int]
"""A file, relative to the root, and the line at which a function begins, its first decorator included."""
NOTED = "_noted"
"""Where in `sys` functions note that they were called."""


@dataclass
class Reach:
    """What tests call.

    Parameters
    ----------
    tests : dict of str to set of Function
        The functions that each test calls, by its name for pytest.
    seconds : dict of str to float
        How long each test takes.
    everywhere : set of Function
        Functions called while tests are imported.
    unknown : set of str
        Tests that start programs, which may call anything.
    """

    tests: dict[str, set[Function]] = field(default_factory=dict)
    seconds: dict[str, float] = field(default_factory=dict)
    everywhere: set[Function] = field(default_factory=set)
    unknown: set[str] = field(default_factory=set)

    def of(self, functions: set[Function] | None) -> list[str]:
        """Return the tests that call one of the functions, those of quick files first; None is any."""
        if functions is None or functions & self.everywhere:
            return list(self.tests)
        found = [test for test, called in self.tests.items() if called & functions or test in self.unknown]
        taken: dict[str, float] = defaultdict(float)
        for test in found:
            taken[test.split("::")[0]] += self.seconds[test] + 100 * (test in self.unknown)
        return sorted(found, key=lambda test: taken[test.split("::")[0]])

    def beside(self, tests: list[str]) -> list[str]:
        """Return the other tests of the files of some, which may look at what these left in an object."""
        files, chosen = {test.split("::")[0] for test in tests}, set(tests)
        return [test for test in self.tests if test.split("::")[0] in files and test not in chosen]


class Recorder:
    """The plugin."""

    def __init__(self) -> None:
        self.reach = Reach()
        self._fixtures: dict[Any, set[Function]] = {}
        self._test = ""
        start = subprocess.Popen.__init__

        def noted(*arguments: Any, **named: Any) -> None:
            self.reach.unknown.add(self._test)
            start(*arguments, **named)

        subprocess.Popen.__init__ = noted  # type: ignore[method-assign]
        self._note_in(self.reach.everywhere)

    def _note_in(self, called: set[Function]) -> None:
        self._called = called
        vars(sys)[NOTED] = called

    @pytest.hookimpl(wrapper=True)
    def pytest_fixture_setup(self, fixturedef: Any, request: Any) -> Any:
        before, called = self._called, set[Function]()
        self._note_in(called)
        try:
            return (yield)
        finally:
            self._fixtures.setdefault(fixturedef, set()).update(called)
            before |= called
            self._note_in(before)

    @pytest.hookimpl(wrapper=True)
    def pytest_runtest_protocol(self, item: Any, nextitem: Any) -> Any:
        for name, module in list(sys.modules.items()):
            if name.split(".")[0] in ("convert", "tests"):
                for value in list(vars(module).values()):
                    if hasattr(value, "cache_clear"):
                        value.cache_clear()
        self._note_in(set())
        self._test, begun = item.nodeid, time.perf_counter()
        try:
            return (yield)
        finally:
            for definitions in item._fixtureinfo.name2fixturedefs.values():
                for definition in definitions:
                    self._called |= self._fixtures.get(definition, set())
            self.reach.tests[item.nodeid] = self._called
            self.reach.seconds[item.nodeid] = time.perf_counter() - begun
            self._note_in(self.reach.everywhere)
            self._test = ""


@contextmanager
def noting(root: Path) -> Iterator[None]:
    """Have every function of ``convert/`` note that it was called, for as long as the context lasts."""
    sources = {path: path.read_text(encoding="utf-8") for path in (root / "convert").rglob("*.py")}
    for path, source in sources.items():
        module = ast.parse(source)
        for node in ast.walk(module):
            if isinstance(node, ast.FunctionDef):
                place = str(path.relative_to(root)), begins(node)
                note = ast.parse(f"getattr(__import__('sys'), {NOTED!r}, set()).add({place!r})").body
                at = int(ast.get_docstring(node) is not None)
                node.body[at:at] = note
        path.write_text(ast.unparse(ast.fix_missing_locations(module)), encoding="utf-8")
    try:
        yield
    finally:
        for path, source in sources.items():
            path.write_text(source, encoding="utf-8")
        for compiled in (root / "convert").rglob("*.pyc"):
            compiled.unlink()


def users(root: Path, name: str, own: Path) -> set[Function] | None:
    """Return the functions of ``convert/`` that mention a name, None where it is used outside functions too.

    Parameters
    ----------
    root : Path
        Of the tree.
    name : str
        Of a constant of a module.
    own : Path
        That module, where one more mention outside functions is that which sets it.
    """
    found: set[Function] = set()
    for path in sorted((root / "convert").rglob("*.py")):
        source = path.read_text(encoding="utf-8")
        if name not in source:
            continue
        shown = str(path.relative_to(root))
        outside = _mentions(ast.parse(source), name, shown, found)
        if outside > (path == root / own):
            return None
    return found


def _mentions(node: ast.AST, name: str, path: str, found: set[Function]) -> int:
    """Add the functions below a node that mention a name, and return how often it is mentioned outside."""
    if isinstance(node, ast.FunctionDef):
        outside = sum(
            _mentions(part, name, path, found)
            for part in (*node.args.defaults, *node.args.kw_defaults, *node.decorator_list)
            if part is not None
        )
        if any(_mentions(part, name, path, found) for part in node.body):
            found.add((path, begins(node)))
        return outside
    here = (isinstance(node, ast.Name) and node.id == name) or (
        isinstance(node, ast.Attribute) and node.attr == name
    )
    return here + sum(_mentions(child, name, path, found) for child in ast.iter_child_nodes(node))


def begins(node: ast.FunctionDef) -> int:
    """Return the line at which a function begins for Python, its first decorator included."""
    return min([node.lineno, *(decorator.lineno for decorator in node.decorator_list)])
