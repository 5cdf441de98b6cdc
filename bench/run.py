"""`make bench`: every bench_*.py of this folder measures its ratios; one that is far over its goal fails the run.

python -m bench.run [word of a module's name …] [--json FILE]
"""

from __future__ import annotations

import argparse
import json
import os
import sys
from collections.abc import Iterator, Sequence
from dataclasses import asdict
from importlib import import_module
from pathlib import Path

from bench.ratios import Ratio

FOLDER = Path(__file__).parent


def modules(words: Sequence[str]) -> list[str]:
    names = sorted(path.stem for path in FOLDER.glob("bench_*.py"))
    return [name for name in names if not words or any(word in name for word in words)]


def measure(names: Sequence[str]) -> Iterator[Ratio]:
    for name in names:
        yield from import_module(f"bench.{name}").measure()


def set_up_django() -> None:
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "config.test_settings")
    import django

    django.setup()


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
    print(f"{'what':<48}{'floor ms':>11}{'work ms':>11}{'ratio':>8}{'goal':>7}")
    for ratio in measure(names):
        found.append(ratio)
        numbers = f"{ratio.floor_ms:>11.2f}{ratio.work_ms:>11.2f}{ratio.value:>8.2f}{ratio.goal:>7.1f}"
        print(f"{ratio.name:<48}{numbers}  {ratio.word}", flush=True)
    if options.json:
        options.json.write_text(json.dumps([asdict(ratio) for ratio in found], indent=2) + "\n")
    return 1 if any(ratio.fails for ratio in found) else 0


if __name__ == "__main__":
    raise SystemExit(main())
