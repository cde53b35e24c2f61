"""Small faults put into the computing modules, one at a time, and the tests that ought to see them.

    python -m tests.benchmarks.mutations --count 120 --processes 2 --out mutations.csv

takes hours. With the tests that run each line, told beforehand by

    COVERAGE_FILE=lines.data pytest -n 2 --cov=preflight --cov=separations --cov-context=test
    python -m tests.benchmarks.mutations --lines lines.data

it takes a quarter of that: only tests that run the faulty line are tried, those first that run
little else (pytest-cov is to be installed for this). The choice is the same on every machine;
``--only separations/films`` takes one folder, ``--list`` prints the faults and runs nothing. A
fault that the tests let pass is told with its line; those that change nothing a print could show
stand in ``argued_faults.toml`` with the reason.
"""

from __future__ import annotations

import csv
import resource
import shutil
import subprocess
import sys
import tempfile
import time
import tomllib
from collections import Counter
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from pathlib import Path
from queue import SimpleQueue

import click

from tests.benchmarks.code_faults import CodeFault, faults_of
from tests.stale_kernels import PACKAGES, import_graph, imported_modules, reached

ROOT = Path(__file__).resolve().parents[2]
ARGUED = Path(__file__).with_name("argued_faults.toml")
#: What a copy of the project leaves behind.
_LEFT_OUT = shutil.ignore_patterns(".venv", ".git", "*-out", ".mypy_cache", ".ruff_cache",
                                   ".pytest_cache")
#: Longest that a process of one fault's tests may compute, and that all may take on a busy
#: machine: a fault that never ends is caught, too.
_LONGEST_CPU_S, _LONGEST_S = 600, 7200
#: Most test files that are run for a fault; the nearest come first.
_MOST_FILES = 14
#: Most tests, where it is known which of them run a line.
_MOST_TESTS = 60
#: By how many lines a fault may stand behind the line that its statement is counted at.
_LINES_OF_A_STATEMENT = 8


@dataclass(frozen=True, slots=True)
class Outcome:
    """What the tests made of a fault."""

    fault: CodeFault
    caught: bool
    by: str
    tests: int
    seconds: float


def chosen_faults(count: int, only: str = "") -> list[CodeFault]:
    """So many faults over all folders, each module in turn, the same ones every time."""
    by_module: dict[str, list[CodeFault]] = {}
    for package in PACKAGES:
        for path in sorted((ROOT / package).rglob("*.py")):
            name = path.relative_to(ROOT).as_posix()
            if name.startswith(only):
                found = sorted(faults_of(path.read_text(encoding="utf-8"), name),
                               key=lambda fault: fault.lot)
                if found:
                    by_module[name] = found
    chosen: list[CodeFault] = []
    turn = 0
    while len(chosen) < count and any(len(found) > turn for found in by_module.values()):
        drawn = [found[turn] for found in by_module.values() if len(found) > turn]
        chosen += sorted(drawn, key=lambda fault: fault.lot)[:count - len(chosen)]
        turn += 1
    return chosen


def nearest_tests(module: str, graph: dict[Path, set[Path]]) -> list[str]:
    """Test files for a module: those of its own name, then of its folder, then what reaches it."""
    path = ROOT / module
    own = f"test_{path.stem}.py"
    ranked: list[tuple[int, int, str]] = []
    for test in (ROOT / "tests").rglob("test_*.py"):
        name = test.relative_to(ROOT).as_posix()
        direct = graph[test]
        folder = (ROOT / "tests" / module).parent
        near = (0 if test.name == own else 1 if path in direct else 2 if test.parent == folder
                else 3 if path in reached(direct, graph) else 9)
        if near < 9:
            ranked.append((near, len(reached(direct, graph)), name))
    return [name for _, _, name in sorted(ranked)][:_MOST_FILES]


class LineTests:
    """Which tests run a line, from a coverage data file with a context for each test."""

    def __init__(self, path: Path) -> None:
        # Installed by those who want this, so it is not imported above.
        from coverage import CoverageData  # type: ignore[import-not-found, unused-ignore]
        self._data = CoverageData(str(path))
        self._data.read()
        self._run: Counter[str] = Counter()
        self._files = {name: self._data.contexts_by_lineno(name)
                       for name in self._data.measured_files()}
        for lines in self._files.values():
            for contexts in lines.values():
                self._run.update(contexts)

    def of(self, fault: CodeFault) -> list[str]:
        """The tests that run a fault's line, or any line of its module where none is told.

        Those that run the fewest lines come first. A module's figures are read when it is imported,
        and compiled code tells no lines.
        """
        lines = self._files.get(fault.module, {})
        for line in range(fault.line, max(fault.line - _LINES_OF_A_STATEMENT, 0), -1):
            if tests := {one for one in lines.get(line, ()) if one}:
                return self._nearest(tests)
        return self._nearest({one for tests in lines.values() for one in tests if one})

    def _nearest(self, tests: set[str]) -> list[str]:
        ranked = sorted(tests, key=lambda one: (self._run[one], one))
        return list(dict.fromkeys(one.rsplit("|", 1)[0] for one in ranked))[:_MOST_TESTS]


def try_fault(fault: CodeFault, copy: Path, tests: list[str]) -> Outcome:
    """Put a fault into a copy of the project, run tests there, and take it out again."""
    target = copy / fault.module
    sound = target.read_text(encoding="utf-8")
    start = time.perf_counter()
    target.write_text(fault.text, encoding="utf-8")
    try:
        done = subprocess.run(
            [sys.executable, "-m", "pytest", "-q", "-x", "-p", "no:cacheprovider",
             "-m", "not long and not benchmark", *tests], cwd=copy, timeout=_LONGEST_S,
            capture_output=True, text=True, preexec_fn=_bound)
        caught = done.returncode != 0
        by = next((line.split(" ")[1] for line in done.stdout.splitlines()
                   if line.startswith(("FAILED", "ERROR"))),
                  f"status {done.returncode}" if caught else "")
    except subprocess.TimeoutExpired:
        caught, by = True, f"still running after {_LONGEST_S} s"
    finally:
        target.write_text(sound, encoding="utf-8")
    return Outcome(fault, caught, by, len(tests), time.perf_counter() - start)


def _bound() -> None:
    resource.setrlimit(resource.RLIMIT_CPU, (_LONGEST_CPU_S, _LONGEST_CPU_S))


def outcomes(faults: list[CodeFault], processes: int,
             lines: LineTests | None = None) -> Iterator[Outcome]:
    """Try all faults, each process in a copy of its own."""
    graph = import_graph(ROOT)
    for test in (ROOT / "tests").rglob("*.py"):
        graph[test] = set(imported_modules(test, ROOT))
    copies: SimpleQueue[Path] = SimpleQueue()
    with tempfile.TemporaryDirectory() as folder:
        for number in range(processes):
            copies.put(Path(shutil.copytree(ROOT, Path(folder) / str(number), ignore=_LEFT_OUT)))

        def tried(fault: CodeFault) -> Outcome:
            copy = copies.get()
            try:
                told = lines.of(fault) if lines else []
                done = try_fault(fault, copy, told) if told else None
                if done is None or not done.caught:  # tests of whole commands tell no lines
                    done = try_fault(fault, copy, nearest_tests(fault.module, graph))
                return done
            finally:
                copies.put(copy)

        with ThreadPoolExecutor(processes) as pool:
            yield from pool.map(tried, faults)


@click.command()
@click.option("--count", default=120, show_default=True, help="How many faults.")
@click.option("--first", default=0, help="Leave out so many at the beginning.")
@click.option("--only", default="", help="Modules whose path begins so.")
@click.option("--processes", default=2, show_default=True)
@click.option("--list", "listed", is_flag=True, help="Print the faults; run nothing.")
@click.option("--lines", type=click.Path(path_type=Path, exists=True),
              help="A coverage data file that tells which tests run a line.")
@click.option("--out", type=click.Path(path_type=Path), help="A table of all outcomes (CSV).")
def main(count: int, first: int, only: str, processes: int, listed: bool,
         lines: Path | None, out: Path | None) -> None:
    """Put small faults into the code, one at a time, and see whether the tests notice."""
    argued = {one["fault"]: one["why"] for one in
              tomllib.loads(ARGUED.read_text(encoding="utf-8"))["argued"]}
    faults = chosen_faults(first + count, only)[first:]
    if listed:
        for fault in faults:
            click.echo(f"{fault.told}{'  (argued)' if fault.told in argued else ''}")
        return
    rows, passed = [], 0
    for done in outcomes(faults, processes, LineTests(lines) if lines else None):
        told = ("caught" if done.caught else
                f"argued: {argued[done.fault.told]}" if done.fault.told in argued else "PASSED")
        passed += told == "PASSED"
        rows.append((told, done.fault.told, done.by, done.tests, round(done.seconds, 1)))
        click.echo(f"{len(rows):3d} {told:8s} {done.seconds:5.0f} s  {done.fault.told}")
        if out is not None:
            with out.open("w", newline="", encoding="utf-8") as stream:
                csv.writer(stream).writerows(
                    [("outcome", "fault", "caught by", "tests", "s"), *rows])
    click.echo(f"{len(rows) - passed} of {len(rows)} caught or argued.")
    raise SystemExit(1 if passed > 0.05 * len(rows) else 0)


if __name__ == "__main__":
    main()
