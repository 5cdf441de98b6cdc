"""`make bench`: every bench_*.py of this folder measures its ratios; one that is far over its goal fails the run.

python -m bench.run [word of a module's name …] [--json FILE]
"""

from __future__ import annotations

import argparse
import atexit
import json
import logging
import os
import shutil
import sys
import tempfile
from collections.abc import Iterator, Sequence
from dataclasses import asdict
from importlib import import_module
from pathlib import Path

from bench.ratios import Limit, Ratio

FOLDER = Path(__file__).parent


def modules(words: Sequence[str]) -> list[str]:
    names = sorted(path.stem for path in FOLDER.glob("bench_*.py"))
    return [name for name in names if not words or any(word in name for word in words)]


def measure(names: Sequence[str]) -> Iterator[Ratio | Limit]:
    for name in names:
        yield from import_module(f"bench.{name}").measure()


def set_up_django() -> None:
    """The settings of the test run in a folder of our own: whatever the environment names is left alone.

    Database, middleware and templates are those of production. That no broker listens is no news here.
    """
    folder = tempfile.mkdtemp(prefix="moundbook-bench-")
    atexit.register(shutil.rmtree, folder, ignore_errors=True)
    os.environ["MOUNDBOOK_VAR"] = folder
    os.environ["DJANGO_SETTINGS_MODULE"] = "config.test_settings"
    import django

    django.setup()
    logging.getLogger("sessions.pipeline").setLevel(logging.ERROR)


def main(arguments: Sequence[str] | None = None) -> int:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("words", nargs="*", help="only the modules whose name has one of these words")
    parser.add_argument("--json", type=Path, help="write the numbers to this file too")
    options = parser.parse_args(arguments)
    names = modules(options.words)
    if not names:
        print("No benchmark has that name.", file=sys.stderr)
        return 1
    set_up_django()
    found = []
    print(f"{'what':<52}{'floor ms':>11}{'work ms':>11}{'ratio':>8}{'goal':>7}")
    for one in measure(names):
        found.append(one)
        print(one.line, flush=True)
    if options.json:
        options.json.write_text(json.dumps([asdict(one) for one in found], indent=2) + "\n")
    return 1 if any(one.fails for one in found) else 0


if __name__ == "__main__":
    raise SystemExit(main())
