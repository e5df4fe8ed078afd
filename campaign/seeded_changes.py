"""Does the test suite notice when the meaning of a check changes?  Seeded changes, one at a time.

Each change turns one comparison round (of figures, of what stays on the skin, of who is who), moves a boundary by one, takes a
circle's wrap away, lets areas be joined where they are cut, swaps ``min`` with ``max`` or ``and`` with ``or``, or drops a
``not``, in the modules that give rules their meaning.  The tests that judge meaning are run against the changed copy; a
change that no test notices is printed with its place.

    python campaign/seeded_changes.py [--number 120] [--seed 1] [--only NAME-PART]
"""

from __future__ import annotations

import argparse
import ast
import os
import random
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path

ROOT = Path(__file__).parents[1]
MODULES = (
    *(f"lint/dermalint/checks/{name}.py" for name in (
        "apply", "case", "companion", "conditions", "contents", "course", "facts", "limit", "moments", "reach", "run",
        "separate", "signatures", "terms", "use", "wait",
    )),
    *(f"lint/dermalint/timeline/{name}.py" for name in ("clock", "days", "daylight", "unroll")),
)  # fmt: skip
TESTS = ("tests/timeline", "tests/checks", "tests/corpus", "tests/oracles")  # the quick ones first
# Where no change can change a verdict, by module, function or line: what only says how far to look, for what is found is
# judged again, and what is never met.
SAME_EITHER_WAY = {
    "lint/dermalint/checks/reach.py": "says how many days are laid out beside the judged ones; more of them change nothing",
    "def longest_days": "an upper bound of days; what lies within is judged by the calendar",
    "def may_exclude": "a short cut: a condition that might exclude a regimen is asked",
    "def _reach": "how far to look for partners; each is judged by the clock or the calendar",
    "FARTHEST_DAY": "how many days are laid out",
    "if common or len(distinct) < 2": "a short cut: the groups that follow come to the same",
    "if len(kinds) == 1": "a short cut: the list that follows comes to the same",
    "if line.end - line.first < size": "a line just as long as a window has that one window either way",
    "if len(regimen.phases) > 1": "a short cut: what is fixed need not be looked at again",
    "> worst.get(use.day": "what is as bad and as much is the same",
    "> (known.truth, known.value": "what is as bad and as much is the same",
    "if truth == NO or item.use is None": "what is not so is dropped where it is told, and one side is always applied",
    "if light.start <= use.minute <= light.end": "what is renewed at an end of daylight makes no stretch shorter",
    "return min(map(self.most": "an upper bound: what may come to more is judged in full",
    "if seen is None or (truth": "what is as bad and as much is the same",
    "return dated or phase.cycle > days": "a short cut: what may pause is judged day by day",
    "if requirement.total and requirement.per is not None": "a rule has both or neither",
    "key = index, line.weekday(day)": "a finer key only lays the same out again",
    "moment.minute < trigger.minute and not _same_slot": "what begins in one minute is in one slot",
    "intervals = [entry for entry": "the shape of a file wants both clocks or neither",
    "if use is None or use.application is None": "what a patch test is expected before is always applied",
    "if day < first": "the same day twice is one day",
    "if len(uses) < 2 or not run.case.line.judged": "a short cut: what is not judged is dropped where it is told",
    "if event.every_days and event.first": "the shape of a file wants both or neither",
    "if factor is None or not": "what has no unit has no figure either",
}
SWAPS: dict[type[ast.cmpop], type[ast.cmpop]] = {
    ast.Lt: ast.LtE,
    ast.LtE: ast.Lt,
    ast.Gt: ast.GtE,
    ast.GtE: ast.Gt,
    ast.Eq: ast.NotEq,
    ast.NotEq: ast.Eq,
    ast.In: ast.NotIn,
    ast.NotIn: ast.In,
}


class _Changer(ast.NodeTransformer):
    """Makes the change numbered ``target``; counts the places where one could be made."""

    def __init__(self, target: int, tree: ast.AST) -> None:
        self.target = target
        self.figures = _figures(tree)
        self.seen = -1
        self.what = ""
        self.lines: list[int] = []

    def _now(self, node: ast.AST, what: str) -> bool:
        self.seen += 1
        line = getattr(node, "lineno", 0)
        self.lines.append(line)
        if self.seen == self.target:
            self.what = f"line {line}: {what}"
            return True
        return False

    def visit_Compare(self, node: ast.Compare) -> ast.AST:
        self.generic_visit(node)
        for index, operator in enumerate(node.ops):
            swap = SWAPS.get(type(operator))
            if swap is not None and self._now(node, f"{type(operator).__name__} becomes {swap.__name__}"):
                node.ops[index] = swap()
        return node

    def visit_BoolOp(self, node: ast.BoolOp) -> ast.AST:
        self.generic_visit(node)
        if self._now(node, "and becomes or, or the reverse"):
            node.op = ast.Or() if isinstance(node.op, ast.And) else ast.And()
        return node

    def visit_UnaryOp(self, node: ast.UnaryOp) -> ast.AST:
        self.generic_visit(node)
        if isinstance(node.op, ast.Not) and self._now(node, "not is dropped"):
            return node.operand
        return node

    def visit_Call(self, node: ast.Call) -> ast.AST:
        self.generic_visit(node)
        extreme = isinstance(node.func, ast.Name) and node.func.id in ("min", "max")
        if extreme and self._now(node, "min becomes max, or the reverse"):
            assert isinstance(node.func, ast.Name)
            node.func.id = "max" if node.func.id == "min" else "min"
        return node

    def visit_BinOp(self, node: ast.BinOp) -> ast.AST:
        self.generic_visit(node)
        if isinstance(node.op, ast.BitAnd) and not _is_bit(node) and self._now(node, "& becomes |"):
            node.op = ast.BitOr()
        if isinstance(node.op, ast.Mod) and self._now(node, "the wrap is taken away"):
            return node.left
        return node

    def visit_Constant(self, node: ast.Constant) -> ast.AST:
        if id(node) in self.figures and self._now(node, f"{node.value} becomes {node.value + 1}"):
            return ast.copy_location(ast.Constant(node.value + 1), node)
        return node


def _is_bit(node: ast.BinOp) -> bool:
    """Whether ``&`` takes one bit, or a number's lowest, and no area."""
    return isinstance(node.right, ast.Constant | ast.UnaryOp) or isinstance(node.left, ast.BinOp)


def _figures(tree: ast.AST) -> set[int]:
    """The whole numbers that are reckoned or compared with: no positions, no defaults, no bits."""
    found: set[int] = set()
    for node in ast.walk(tree):
        if isinstance(node, ast.BinOp) and isinstance(node.op, ast.Add | ast.Sub | ast.Mult | ast.FloorDiv | ast.Mod):
            sides = [node.left, node.right]
        elif isinstance(node, ast.Compare):
            sides = [node.left, *node.comparators]
        else:
            continue
        found |= {id(side) for side in sides if isinstance(side, ast.Constant) and type(side.value) is int}
    return found


def list_changes(path: Path) -> list[int]:
    """The changes a module offers, without those of :data:`SAME_EITHER_WAY`."""
    text = path.read_text(encoding="utf-8")
    tree = ast.parse(text)
    changer = _Changer(-2, tree)
    changer.visit(tree)
    lines = text.splitlines()
    excused: set[int] = set()
    for number, line in enumerate(lines, start=1):
        if any(place in line for place in SAME_EITHER_WAY):
            excused.add(number)
    for node in ast.walk(tree):
        if isinstance(node, ast.FunctionDef) and f"def {node.name}" in SAME_EITHER_WAY:
            excused.update(range(node.lineno, (node.end_lineno or node.lineno) + 1))
    return [number for number, line in enumerate(changer.lines) if line not in excused]


def make_change(path: Path, number: int) -> tuple[str, str]:
    """The changed text and what was changed."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    changer = _Changer(number, tree)
    changed = ast.fix_missing_locations(changer.visit(tree))
    return ast.unparse(changed), changer.what


def choose(number: int, seed: int, only: str) -> Iterator[tuple[str, int]]:
    """A fixed random choice of changes over all modules, each at most once."""
    modules = [name for name in MODULES if only in name and name not in SAME_EITHER_WAY]
    every = [(name, change) for name in modules for change in list_changes(ROOT / name)]
    yield from random.Random(seed).sample(every, min(number, len(every)))


def copy_project(folder: Path) -> None:
    """Copy what the tests of meaning need."""
    for part in ("grammar", "lint", "plugins", "rulesets", "tests"):
        shutil.copytree(ROOT / part, folder / part, ignore=shutil.ignore_patterns("__pycache__"))
    shutil.copy(ROOT / "pyproject.toml", folder)


def noticed(folder: Path, name: str, text: str) -> bool:
    """Whether the tests fail on the copied project with one module's text replaced; the module is put back."""
    module = folder / name
    original = module.read_text(encoding="utf-8")
    module.write_text(text, encoding="utf-8")
    roots = os.pathsep.join(str(folder / root) for root in ("grammar", "lint", "plugins", "rulesets"))
    environment = {**os.environ, "PYTHONPATH": roots, "DERMALINT_CACHE": ""}
    environment.pop("PYTHONDONTWRITEBYTECODE", None)  # what was kept of a module is older than its change
    command = [sys.executable, "-m", "pytest", "-x", "-q", "-p", "no:cacheprovider", *TESTS]
    try:
        done = subprocess.run(command, cwd=folder, env=environment, capture_output=True, timeout=600, check=False)
    except subprocess.TimeoutExpired:
        return True  # a check that never ends is noticed
    finally:
        module.write_text(original, encoding="utf-8")
    return done.returncode != 0


def main() -> int:
    """Run the campaign; exit status 1 when fewer than 95 % of the changes are noticed."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--number", type=int, default=120)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--only", default="")
    asked = parser.parse_args()
    found = total = 0
    with tempfile.TemporaryDirectory() as copy:
        folder = Path(copy)
        copy_project(folder)
        for name, change in choose(asked.number, asked.seed, asked.only):
            text, what = make_change(folder / name, change)
            total += 1
            seen = noticed(folder, name, text)
            found += seen
            print(f"{total:>4} {'' if seen else 'NOT '}noticed: {name}, {what}", flush=True)
    print(f"{found} of {total} seeded changes noticed ({100 * found / max(total, 1):.0f} %)")
    return 0 if found >= 0.95 * total else 1


if __name__ == "__main__":
    sys.exit(main())
