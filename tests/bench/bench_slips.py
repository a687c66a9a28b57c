"""Put small slips into the code of a package and count how many of them its own tests catch.

Run by hand: ``python tests/bench/bench_slips.py PACKAGE [--number 40] [--seed 1 2 ...] [--jobs 2]``, PACKAGE
being a directory of ``convert/`` (``colour``, ``weave``, ...). A slip is one small change of one line: a
comparison or a sign turned, a constant a little off, ``not`` dropped, ``and`` for ``or``, ``min`` for
``max``, an axis or end swapped, a call left out, a return too early. The sample depends on the source and the
numbers, so the same ``--seed`` draws the same slips again after tests have been added. ``--at model.py`` or
``--at model.py:17`` (may be repeated) draws only from there. Slips go into temporary copies.

A slip is caught if ``pytest -x`` over ``tests/PACKAGE`` fails or hangs. Only the tests that reach the place
of the slip are run (see `reach`), those in the file that mirrors its module first. Left out of the drawing
are docstrings, annotations, decorators, what is raised, ``__repr__``, f-strings, blocks
of ``TYPE_CHECKING``, what a dataclass shows and compares, and the ``strict`` of ``zip``: they hold messages,
or guards against the programmer's own slips.
"""

import argparse
import ast
import multiprocessing
import os
import pickle
import random
import resource
import shutil
import signal
import sys
import tempfile
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from pathlib import Path
from queue import SimpleQueue

import pytest
from reach import Reach, Recorder, begins, noting, users

ROOT = Path(__file__).resolve().parents[2]
LEFT_OUT_OF_COPIES = shutil.ignore_patterns(
    ".git", ".venv*", "__pycache__", ".*_cache", ".hypothesis", "build"
)
MOST_BYTES = 4 * 2**30  # for a slip that never stops growing
PASSED = {0, 5}  # pytest's exit codes for "all passed" and "nothing collected"
# Most of a short run of pytest goes into importing what no slip touches: done once, before processes part.
HEAVY = """
    pytest numpy scipy.ndimage scipy.optimize scipy.spatial scipy.sparse.csgraph PIL.Image
    skimage.color skimage.data skimage.draw skimage.filters skimage.measure skimage.morphology
    skimage.segmentation skimage.transform pydantic typer typer.testing reportlab.pdfgen.canvas
    ortools.sat.python.cp_model colour shapely networkx pypdfium2 resvg_py openpyxl jsonschema
"""
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
    function: int | None  # the line at which that begins in which it is
    constant: str | None  # of the module, whose value it is part of

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
        self.function: int | None = None
        self.constant: str | None = None
        self.in_class = False
        lines = self.source.splitlines(keepends=True)
        self.line_starts = [sum(map(len, lines[:number])) for number in range(len(lines))]
        self.visit(ast.parse(self.source))

    def add(self, node: ast.stmt | ast.expr, new: str) -> None:
        assert node.end_lineno is not None and node.end_col_offset is not None
        start = self.line_starts[node.lineno - 1] + node.col_offset
        end = self.line_starts[node.end_lineno - 1] + node.end_col_offset
        old = self.source[start:end].decode()
        place = self.function, self.constant
        self.slips.append(Slip(self.path, node.lineno, start, end, old, new, *place))

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
        outside, self.function = self.function, begins(node)
        last = node.body[-1]
        gives = any(isinstance(inner, ast.Return) and inner.value for inner in ast.walk(node))
        if not gives and isinstance(last, ast.For | ast.While | ast.If | ast.With):
            self.add(last, "return")
        self.visit_all(node.body)
        self.function = outside

    def visit_ClassDef(self, node: ast.ClassDef) -> None:
        self.in_class, outside = True, self.in_class
        self.visit_all(node.body)
        self.in_class = outside

    def visit_AnnAssign(self, node: ast.AnnAssign) -> None:
        if node.value is not None:
            self.visit_value(node.target, node.value)

    def visit_Assign(self, node: ast.Assign) -> None:
        name = ast.unparse(node.targets[0])
        if not (name[0].isupper() and not name.isupper()):  # an alias of a type, which is named like a class
            self.visit_all(node.targets)
            self.visit_value(node.targets[0], node.value)

    def visit_value(self, target: ast.expr, value: ast.expr) -> None:
        """Visit what is assigned, and note whether it is a constant of the module."""
        if self.function is None and not self.in_class and isinstance(target, ast.Name):
            self.constant = target.id
        self.visit(value)
        self.constant = None

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
    for path in sorted((ROOT / "convert" / package).rglob("*.py")):
        for slip in Finder(path.relative_to(ROOT)).slips:
            if not places or {slip.path.name, f"{slip.path.name}:{slip.line}"} & set(places):
                by_line.setdefault(slip.place, []).append(slip)
    generator = random.Random(seed)
    lines = generator.sample(sorted(by_line), min(number, len(by_line)))
    # A line has the same slip whichever others are drawn, so that survivors can be tried again with --at.
    return [random.Random(f"{seed} {line}").choice(by_line[line]) for line in lines]


def run_pytest(copy: Path, arguments: list[str], recording: Path | None) -> None:
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
    recorder = None if recording is None else Recorder()
    plugins = [] if recorder is None else [recorder]
    code = pytest.main(["-x", "-q", "-p", "no:cacheprovider", *arguments], plugins)
    if recorder is not None:
        recording.write_bytes(pickle.dumps(recorder.reach))
    os._exit(code)


def passes(copy: Path, arguments: list[str], timeout_s: float | None, recording: Path | None = None) -> bool:
    """Run pytest in a copy; a run over the time does not pass."""
    run = FORKS.Process(target=run_pytest, args=(copy, arguments, recording))
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


def runs_for(slip: Slip, reach: Reach) -> list[list[str]]:
    """Return the tests that may notice a slip, in the runs in which they are tried."""
    if slip.function is not None:
        functions = {(str(slip.path), slip.function)}
    else:
        functions = users(ROOT, slip.constant, slip.path) if slip.constant else None
    tests = reach.of(functions)
    mirror = f"tests/{slip.path.parts[1]}/test_{slip.path.stem}.py::"
    first = [test for test in tests if test.startswith(mirror)]
    then = [test for test in tests if not test.startswith(mirror)]
    return [run for run in (first, then, reach.beside(tests)) if run]


def is_caught(slip: Slip, copy: Path, reach: Reach) -> bool:
    """Put a slip into a copy, run the tests that should notice, and take it out again."""
    source = (copy / slip.path).read_bytes()
    changed = slip.put(source)
    ast.parse(changed)
    runs = runs_for(slip, reach)
    write(copy, slip.path, changed)
    try:
        # Many times what they take, since others may be at work.
        return not all(passes(copy, run, 60 + 20 * sum(map(reach.seconds.__getitem__, run))) for run in runs)
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
    parser.add_argument("--seed", type=int, default=[1], nargs="+")
    parser.add_argument("--jobs", type=int, default=2)
    parser.add_argument("--at", action="append", default=[], metavar="FILE[:LINE]")
    options = parser.parse_args()
    os.environ |= {"OMP_NUM_THREADS": "1", "OPENBLAS_NUM_THREADS": "1", "PYTHONWARNINGS": "ignore"}
    FORKS.set_forkserver_preload(HEAVY.split())
    drawn = {seed: sample(options.package, options.number, seed, options.at) for seed in options.seed}
    with tempfile.TemporaryDirectory() as scratch:
        copies: SimpleQueue[Path] = SimpleQueue()
        for job in range(options.jobs):
            copies.put(shutil.copytree(ROOT, Path(scratch, str(job)), ignore=LEFT_OUT_OF_COPIES))
        recording = Path(scratch, "reach")
        copy = copies.get()
        with noting(copy):
            if not passes(copy, [f"tests/{options.package}"], None, recording):
                sys.exit(f"The tests of {options.package} fail without any slip.")
        copies.put(copy)
        reach: Reach = pickle.loads(recording.read_bytes())

        def work(slip: Slip) -> bool:
            copy = copies.get()
            try:
                return is_caught(slip, copy, reach)
            finally:
                copies.put(copy)

        with ThreadPoolExecutor(options.jobs) as pool:
            for seed, slips in drawn.items():
                caught = 0
                for slip, found in zip(slips, pool.map(work, slips), strict=True):
                    caught += found
                    if not found:
                        print(f"survived {slip.place}: {short(slip.old)}  ->  {short(slip.new)}", flush=True)
                share = caught / max(len(slips), 1)
                print(
                    f"{options.package}, seed {seed}: {len(slips)} slips, {caught} caught, {share:.1%}",
                    flush=True,
                )


if __name__ == "__main__":
    main()
