"""The project's own source, as the tests of its form read it."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from pathlib import Path

CHECKOUT = Path(__file__).resolve().parents[1]
ROOMS = ("athletes", "sessions", "metrics", "plans", "desk")  # from left to right
CODE_FOLDERS = (*ROOMS, "config", "bench")


@dataclass(frozen=True, slots=True)
class Import:
    """One import statement: where it stands, and the dotted name that it reaches for."""

    module: str
    target: str
    line: int

    def __str__(self) -> str:
        return f"{self.module}:{self.line} imports {self.target}"


def module_name(path: Path) -> str:
    parts = path.relative_to(CHECKOUT).with_suffix("").parts
    return ".".join(parts[:-1] if parts[-1] == "__init__" else parts)


@cache
def python_files(*folders: str) -> tuple[Path, ...]:
    found = (path for folder in folders for path in (CHECKOUT / folder).rglob("*.py"))
    return tuple(sorted(path for path in found if "migrations" not in path.parts))


@cache
def tree_of(path: Path) -> ast.Module:
    return ast.parse(path.read_text(), filename=str(path))


def imports_of(path: Path) -> Iterator[Import]:
    """Every import of a file, also those inside functions; relative ones as the absolute names that they mean."""
    name = module_name(path)
    package = name if path.name == "__init__.py" else name.rpartition(".")[0]
    for node in ast.walk(tree_of(path)):
        if isinstance(node, ast.Import):
            for alias in node.names:
                yield Import(name, alias.name, node.lineno)
        elif isinstance(node, ast.ImportFrom):
            base = node.module or ""
            if node.level:
                above = package.split(".")
                base = ".".join([*above[: len(above) - node.level + 1], *filter(None, [node.module])])
            for alias in node.names:
                yield Import(name, f"{base}.{alias.name}", node.lineno)


def functions_of(path: Path) -> Iterator[ast.FunctionDef | ast.AsyncFunctionDef]:
    for node in ast.walk(tree_of(path)):
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef):
            yield node


def length_of(function: ast.FunctionDef | ast.AsyncFunctionDef) -> int:
    """Lines of a function without its docstring."""
    docstring = ast.get_docstring(function, clean=False)
    return (function.end_lineno or 0) - function.lineno + 1 - (docstring.count("\n") + 1 if docstring else 0)
