"""Takes away one check at a time and looks whether a test fails: `make mutate`, or `python -m tests.policy.mutations`.

A change inside a function is made in a fork of this process, in which the tests of this folder are called. A change
outside of functions (a decorator, the table of rights) is made in a copy of the checkout, in which pytest runs them.
With `--rooms`, what they let pass meets the tests of its own room there, too. What no test notices has survived.
"""

from __future__ import annotations

import argparse
import os
import random
import shutil
import subprocess
import sys
import tempfile
import time
from collections.abc import Sequence
from dataclasses import dataclass, field
from importlib import import_module
from pathlib import Path
from types import ModuleType

from tests.policy.finding_checks import Mutation, mutations
from tests.source import CHECKOUT

FOLDER = "tests/policy"
LIMIT_S = 900
OPTIONS = ("-x", "-q", "-n", "0", "-p", "no:cacheprovider", "--show-capture=no", "--no-header", "--tb=no")
SKIPPED = (".git", ".venv", "var", "staticfiles", "__pycache__", ".*_cache")


@dataclass(slots=True)
class Report:
    outcomes: dict[str, list[str]] = field(default_factory=dict)

    def add(self, mutation: Mutation, outcome: str, seconds: float) -> None:
        self.outcomes.setdefault(outcome, []).append(str(mutation))
        print(f"{outcome:>17} {seconds:5.0f} s  {mutation}", flush=True)

    def print_all(self, of: int) -> None:
        print(f"\n{sum(map(len, self.outcomes.values()))} of {of} checks taken away, one at a time")
        for outcome, lines in sorted(self.outcomes.items()):
            print(f"  {len(lines)} {outcome}")
        for line in sorted(self.outcomes.get("survived", ())):
            print(f"    {line}")


class Copy:
    """A copy of the checkout, in which pytest runs with one file changed."""

    def __init__(self, folder: Path) -> None:
        self._root = folder / "copy"
        shutil.copytree(CHECKOUT, self._root, ignore=shutil.ignore_patterns(*SKIPPED), symlinks=True)

    def notices(self, mutation: Mutation, suites: Sequence[Sequence[str]]) -> bool:
        """Whether a test of one of these suites fails, asked in their order."""
        place = self._root / mutation.path.relative_to(CHECKOUT)
        whole = place.read_bytes()
        place.write_bytes(mutation.applied_to(whole))
        try:
            return not all(self._passes(tests) for tests in suites)
        finally:
            place.write_bytes(whole)

    def _passes(self, tests: Sequence[str]) -> bool:
        """No test there to run counts as passed, a hang as failed."""
        command = [sys.executable, "-m", "pytest", *OPTIONS, *tests]
        try:
            done = subprocess.run(command, cwd=self._root, capture_output=True, timeout=LIMIT_S, check=False)
        except subprocess.TimeoutExpired:
            return False
        return done.returncode in (0, 5)


def names_at(mutation: Mutation) -> list[str]:
    """The addresses whose views stand in the changed file: they are asked first."""
    from tests.policy.places import view_modules

    module = ".".join(mutation.path.relative_to(CHECKOUT).with_suffix("").parts)
    return sorted(view_modules().get(module, ()))


def policy_modules() -> list[ModuleType]:
    return [import_module(f"tests.policy.{path.stem}") for path in sorted(Path(__file__).parent.glob("test_*.py"))]


def outcome_of(mutation: Mutation, door: object, copy: Copy, *, rooms: bool) -> str:
    from tests.policy.swapping import HUNG, KILLED, UNFIT, changed_codes, exchange, first_failure, in_a_fork

    names, pairs = names_at(mutation), changed_codes(mutation)

    def work() -> int:
        return int(bool(first_failure(door, policy_modules(), names))) if exchange(pairs) else UNFIT

    noticed = in_a_fork(work) if pairs else UNFIT
    if noticed == KILLED:
        return "noticed"
    if noticed == HUNG:
        return "not finished"
    if noticed == UNFIT:
        short = " or ".join(name.split(":")[-1] for name in names)
        first = [[f"{FOLDER}/test_table.py", "-k", short]] if names else []
        if copy.notices(mutation, [*first, [FOLDER]]):
            return "noticed"
    room = mutation.path.relative_to(CHECKOUT).parts[0]
    return "noticed by a room" if rooms and copy.notices(mutation, [[f"tests/{room}"]]) else "survived"


def chosen(arguments: argparse.Namespace) -> list[Mutation]:
    found = [one for one in mutations() if arguments.only in str(one)]
    random.Random(arguments.order).shuffle(found)
    return found[: arguments.sample] if arguments.sample else found


def run(found: Sequence[Mutation], arguments: argparse.Namespace) -> int:
    from django.test.utils import setup_databases, setup_test_environment

    from tests.policy.opening import open_door
    from tests.policy.swapping import PASSED, first_failure, in_a_fork

    setup_test_environment()
    setup_databases(verbosity=0, interactive=False)
    report, begun = Report(), time.monotonic()
    with tempfile.TemporaryDirectory() as name, open_door(Path(name) / "files") as door:
        copy, modules = Copy(Path(name)), policy_modules()
        if in_a_fork(lambda: int(bool(first_failure(door, modules, ())))) != PASSED:
            print("A test of tests/policy fails before anything is taken away.")
            return 2
        for mutation in found:
            if arguments.minutes and time.monotonic() - begun > 60 * arguments.minutes:
                break
            started = time.monotonic()
            outcome = outcome_of(mutation, door, copy, rooms=arguments.rooms)
            report.add(mutation, outcome, time.monotonic() - started)
    report.print_all(len(found))
    return 1 if "survived" in report.outcomes else 0


def main() -> int:
    parser = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    parser.add_argument("--sample", type=int, default=0, help="how many, chosen by lot; 0: all")
    parser.add_argument("--order", type=int, default=7, help="number of the lot")
    parser.add_argument("--only", default="", help="a part of the place or of the words, as --list shows them")
    parser.add_argument("--list", action="store_true", help="only list what would be taken away")
    parser.add_argument(
        "--rooms", action="store_true", help="ask the room’s own tests, too, where these notice nothing"
    )
    parser.add_argument("--minutes", type=float, default=0, help="begin no other after so many minutes; 0: no end")
    arguments = parser.parse_args()
    found = chosen(arguments)
    if arguments.list:
        print(*found, sep="\n")
        return 0
    return run(found, arguments)


if __name__ == "__main__":
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "config.test_settings")
    import django

    django.setup()
    sys.exit(main())
