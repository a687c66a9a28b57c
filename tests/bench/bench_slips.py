"""Put small slips into the code of a package and count how many of them its own tests catch.

Run by hand: ``python tests/bench/bench_slips.py PACKAGE [--number 40] [--seed 1] [--jobs 2]``, PACKAGE being
a directory of ``convert/`` (``colour``, ``weave``, ...). A slip is one small change of one line: a comparison
or a sign turned, a constant a little off, ``not`` dropped, ``and`` for ``or``, ``min`` for ``max``, an axis
or end swapped, a call left out, a return too early. The sample depends on the source and the numbers, so
the same ``--seed`` draws the same slips again after tests have been added. ``--at model.py`` or ``--at
model.py:17`` (may be repeated) draws only from there. Slips go into temporary copies, never the working tree.

A slip is caught if ``pytest -x`` over ``tests/PACKAGE`` fails or hangs. The test file that mirrors the module
runs first. Left out are docstrings, annotations, decorators, what is raised, ``__repr__``, f-strings, blocks
of ``TYPE_CHECKING``, what a dataclass shows and compares, and the ``strict`` of ``zip``: they hold messages,
or guards against the programmer's own slips.
"""

import argparse
import ast
import multiprocessing
import os
import random
import resource
import shutil
import signal
import sys
import tempfile
import time
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from pathlib import Path
from queue import SimpleQueue

import pytest

ROOT = Path(__file__).resolve().parents[2]
LEFT_OUT_OF_COPIES = shutil.ignore_patterns(
    ".git", ".venv*", "__pycache__", ".*_cache", ".hypothesis", "build"
)
MOST_BYTES = 4 * 2**30  # for a slip that never stops growing
PASSED = {0, 5}  # pytest's exit codes for "all passed" and "nothing collected"
# Most of a short run of pytest goes into importing what no slip touches: done once, before the processes part.
HEAVY = (
    "pytest numpy scipy.ndimage scipy.optimize scipy.spatial scipy.sparse.csgraph PIL.Image"
    " skimage.color skimage.data skimage.draw skimage.filters skimage.measure skimage.morphology"
    " skimage.segmentation skimage.transform pydantic typer typer.testing reportlab.pdfgen.canvas"
    " ortools.sat.python.cp_model colour shapely networkx pypdfium2 resvg_py openpyxl jsonschema"
).split()
FORKS = multiprocessing.get_context("forkserver")

COMPARISONS: dict[type[ast.cmpop], list[type[ast.cmpop]]] = {
    ast.Lt: [ast.LtE, ast.GtE],
    ast.LtE: [ast.Lt, ast.Gt],
    ast.Gt: [ast.GtE, ast.LtE],
    ast.GtE: [ast.Gt, ast.Lt],
    ast.Eq: [ast.NotEq],
    ast.NotEq: [ast.Eq],
    ast.Is: [ast.IsNot],
    ast.IsNot: [ast.Is],
    ast.In: [ast.NotIn],
    ast.NotIn: [ast.In],
}
ARITHMETIC: dict[type[ast.operator], type[ast.operator]] = {
    ast.Add: ast.Sub,
    ast.Sub: ast.Add,
    ast.Mult: ast.Div,
    ast.Div: ast.Mult,
    ast.FloorDiv: ast.Mult,
    ast.Mod: ast.FloorDiv,
    ast.Pow: ast.Mult,
    ast.BitAnd: ast.BitOr,
    ast.BitOr: ast.BitAnd,
    ast.BitXor: ast.BitOr,
    ast.LShift: ast.RShift,
    ast.RShift: ast.LShift,
}
OPPOSITES = {"min": "max", "minimum": "maximum", "argmin": "argmax", "floor": "ceil", "any": "all"}
OPPOSITES |= {other: name for name, other in OPPOSITES.items()}


@dataclass(frozen=True)
class Slip:
    """One change: the bytes ``start`` to ``end`` of a file give way to ``new``."""

    path: Path  # relative to the root
    line: int
    start: int
    end: int
    old: str
    new: str

    @property
    def place(self) -> str:
        return f"{self.path}:{self.line}"

    def put(self, source: bytes) -> bytes:
        return source[: self.start] + self.new.encode() + source[self.end :]


def replaced(node: ast.expr) -> Iterator[ast.expr]:
    """Yield what an expression may become by one slip at its root."""
    match node:
        case ast.Compare(left, [op], right):
            for other in COMPARISONS[type(op)]:
                yield ast.Compare(left, [other()], right)
        case ast.Compare(left, [first, *others], right):
            for other in COMPARISONS[type(first)]:
                yield ast.Compare(left, [other(), *others], right)
        case ast.BoolOp(op, values):
            yield ast.BoolOp(ast.Or() if isinstance(op, ast.And) else ast.And(), values)
        case ast.BinOp(left, op, right) if type(op) in ARITHMETIC:
            yield ast.BinOp(left, ARITHMETIC[type(op)](), right)
        case ast.UnaryOp(ast.USub() | ast.Not() | ast.Invert(), operand):
            yield operand
        case ast.Constant(bool(value)):
            yield ast.Constant(not value)
        case ast.Constant(int(value)):
            yield ast.Constant(value + 1)
            if value > 0:
                yield ast.Constant(value - 1)
        case ast.Constant(float(value)):
            yield ast.Constant(round(value * 1.1, 12) if value else 0.1)
        case ast.Subscript(value, ast.Constant(0)):
            yield ast.Subscript(value, ast.Constant(-1), node.ctx)
        case ast.Subscript(value, ast.UnaryOp(ast.USub(), ast.Constant(1))):
            yield ast.Subscript(value, ast.Constant(0), node.ctx)
        case ast.Call(ast.Name(name), arguments, keywords) if name in OPPOSITES:
            yield ast.Call(ast.Name(OPPOSITES[name]), arguments, keywords)
        case ast.Call(ast.Attribute(value, name), arguments, keywords) if name in OPPOSITES:
            yield ast.Call(ast.Attribute(value, OPPOSITES[name]), arguments, keywords)


def instead(node: ast.stmt) -> Iterator[str]:
    """Yield what may stand instead of a statement by one slip."""
    match node:
        case ast.Expr(ast.Call()):
            yield "pass"
        case ast.Assign([ast.Subscript() | ast.Attribute()]):
            yield "pass"
        case ast.AugAssign(target, op, value):
            yield ast.unparse(ast.AugAssign(target, ARITHMETIC[type(op)](), value))
        case ast.Break():
            yield "continue"
        case ast.Continue():
            yield "break"
        case ast.If(_, body) if not node.orelse and isinstance(body[-1], ast.Return | ast.Continue):
            yield "pass"


class Finder(ast.NodeVisitor):
    """Collects the slips of one module."""

    def __init__(self, path: Path) -> None:
        self.path = path
        self.source = (ROOT / path).read_bytes()
        self.slips: list[Slip] = []
        lines = self.source.splitlines(keepends=True)
        self.line_starts = [sum(map(len, lines[:number])) for number in range(len(lines))]
        self.visit(ast.parse(self.source))

    def add(self, node: ast.stmt | ast.expr, new: str) -> None:
        assert node.end_lineno is not None and node.end_col_offset is not None
        start = self.line_starts[node.lineno - 1] + node.col_offset
        end = self.line_starts[node.end_lineno - 1] + node.end_col_offset
        old = self.source[start:end].decode()
        self.slips.append(Slip(self.path, node.lineno, start, end, old, new))

    def visit(self, node: ast.AST) -> None:
        if isinstance(node, ast.expr):
            for other in replaced(node):
                text = ast.unparse(other)
                self.add(node, text if isinstance(other, ast.Constant | ast.Call) else f"({text})")
        elif isinstance(node, ast.stmt):
            for text in instead(node):
                self.add(node, text)
        super().visit(node)

    def visit_all(self, nodes: list[ast.stmt] | list[ast.expr]) -> None:
        for node in nodes:
            self.visit(node)

    def visit_FunctionDef(self, node: ast.FunctionDef) -> None:
        if node.name == "__repr__":
            return
        for default in [*node.args.defaults, *node.args.kw_defaults]:
            if default is not None:
                self.visit(default)
        last = node.body[-1]
        gives = any(isinstance(inner, ast.Return) and inner.value for inner in ast.walk(node))
        if not gives and isinstance(last, ast.For | ast.While | ast.If | ast.With):
            self.add(last, "return")
        self.visit_all(node.body)

    def visit_ClassDef(self, node: ast.ClassDef) -> None:
        self.visit_all(node.body)

    def visit_AnnAssign(self, node: ast.AnnAssign) -> None:
        if node.value is not None:
            self.visit(node.value)

    def visit_Assign(self, node: ast.Assign) -> None:
        name = ast.unparse(node.targets[0])
        if not (name[0].isupper() and not name.isupper()):  # an alias of a type, which is named like a class
            self.generic_visit(node)

    def visit_If(self, node: ast.If) -> None:
        if "TYPE_CHECKING" not in ast.unparse(node.test):
            self.generic_visit(node)

    def visit_keyword(self, node: ast.keyword) -> None:
        match node:
            case ast.keyword("strict" | "repr" | "compare"):
                return
            case ast.keyword("axis", ast.Constant(0 | 1 as axis)):
                self.add(node.value, str(1 - axis))
            case _:
                self.generic_visit(node)

    def visit_Raise(self, node: ast.Raise) -> None:
        """Leave messages alone."""

    def visit_JoinedStr(self, node: ast.JoinedStr) -> None:
        """Leave f-strings alone, whose inner places Python 3.11 does not tell."""


def sample(package: str, number: int, seed: int, places: list[str]) -> list[Slip]:
    """Draw slips over the modules of a package, at most one a line."""
    by_line: dict[str, list[Slip]] = {}
    for path in sorted((ROOT / "convert" / package).glob("*.py")):
        for slip in Finder(path.relative_to(ROOT)).slips:
            if not places or {slip.path.name, f"{slip.path.name}:{slip.line}"} & set(places):
                by_line.setdefault(slip.place, []).append(slip)
    generator = random.Random(seed)
    lines = generator.sample(sorted(by_line), min(number, len(by_line)))
    # A line has the same slip whichever others are drawn, so that survivors can be tried again with --at.
    return [random.Random(f"{seed} {line}").choice(by_line[line]) for line in lines]


def run_pytest(copy: Path, arguments: list[str]) -> None:
    """Run pytest over a copy, in a process of its own, and end it with pytest's exit code."""
    os.setsid()
    resource.setrlimit(resource.RLIMIT_DATA, (MOST_BYTES, MOST_BYTES))
    silent = os.open(os.devnull, os.O_WRONLY)
    os.dup2(silent, 1)
    os.dup2(silent, 2)
    os.chdir(copy)
    os.environ["PYTHONPATH"] = str(copy)
    # Whatever the shell says: else each run would compile all tests anew.
    os.environ.pop("PYTHONDONTWRITEBYTECODE", None)
    sys.dont_write_bytecode = False
    sys.path[0] = str(copy)
    os._exit(pytest.main(["-x", "-q", "-p", "no:cacheprovider", *arguments]))


def passes(copy: Path, arguments: list[str], timeout_s: float | None) -> bool:
    """Run pytest in a copy; a run over the time does not pass."""
    run = FORKS.Process(target=run_pytest, args=(copy, arguments))
    run.start()
    run.join(timeout_s)
    if run.exitcode is None:
        assert run.pid is not None
        os.killpg(run.pid, signal.SIGKILL)
        run.join()
    return run.exitcode in PASSED


def write(copy: Path, path: Path, source: bytes) -> None:
    """Write a module, and forget its bytecode, which Python knows by size and second only."""
    (copy / path).write_bytes(source)
    for compiled in (copy / path).parent.glob(f"__pycache__/{path.stem}.*.pyc"):
        compiled.unlink()


def is_caught(slip: Slip, copy: Path, timeout_s: float) -> bool:
    """Put a slip into a copy, run the tests that should notice, and take it out again."""
    source = (copy / slip.path).read_bytes()
    changed = slip.put(source)
    ast.parse(changed)
    tests = f"tests/{slip.path.parent.name}"
    mirror = f"{tests}/test_{slip.path.stem}.py"
    write(copy, slip.path, changed)
    try:
        if (ROOT / mirror).exists() and not passes(copy, [mirror], timeout_s):
            return True
        return not passes(copy, [tests, f"--ignore={mirror}"], timeout_s)
    finally:
        write(copy, slip.path, source)


def short(text: str) -> str:
    """Give a piece of code on one line, cut where it is long."""
    line = " ".join(text.split())
    return line if len(line) <= 70 else line[:67] + "..."


def main() -> None:
    parser = argparse.ArgumentParser(description="Count the slips that the tests of a package catch.")
    parser.add_argument("package")
    parser.add_argument("--number", type=int, default=40)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--jobs", type=int, default=2)
    parser.add_argument("--at", action="append", default=[], metavar="FILE[:LINE]")
    options = parser.parse_args()
    os.environ |= {"OMP_NUM_THREADS": "1", "OPENBLAS_NUM_THREADS": "1", "PYTHONWARNINGS": "ignore"}
    FORKS.set_forkserver_preload(HEAVY)
    slips = sample(options.package, options.number, options.seed, options.at)
    with tempfile.TemporaryDirectory() as scratch:
        copies: SimpleQueue[Path] = SimpleQueue()
        for job in range(options.jobs):
            copies.put(shutil.copytree(ROOT, Path(scratch, str(job)), ignore=LEFT_OUT_OF_COPIES))
        start = time.perf_counter()
        copy = copies.get()
        if not passes(copy, [f"tests/{options.package}"], None):
            sys.exit(f"The tests of {options.package} fail without any slip.")
        copies.put(copy)
        timeout_s = 60 + 5 * (time.perf_counter() - start)

        def work(slip: Slip) -> bool:
            copy = copies.get()
            try:
                return is_caught(slip, copy, timeout_s)
            finally:
                copies.put(copy)

        caught = 0
        with ThreadPoolExecutor(options.jobs) as pool:
            for slip, found in zip(slips, pool.map(work, slips), strict=True):
                caught += found
                if not found:
                    print(f"survived {slip.place}: {short(slip.old)}  ->  {short(slip.new)}", flush=True)
    percent = 100 * caught / max(len(slips), 1)
    print(f"{options.package}: {len(slips)} slips, {caught} caught, {percent:.1f} %")


if __name__ == "__main__":
    main()
