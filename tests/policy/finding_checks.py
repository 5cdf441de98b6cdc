"""Finds every check of a right in the source, and says what the source would be without it."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from tests.source import CHECKOUT, ROOMS, python_files, tree_of

LEFT_ALONE = {"migrations", "management", "demo", "running", "templatetags", "formats", "importing"}
LOADERS = frozenset(
    name
    for node in tree_of(Path(__file__).with_name("untied.py")).body
    for name in ([node.name] if isinstance(node, ast.FunctionDef) else [])
    if not name.startswith("_")
)
"""Loaders that have a counterpart which asks nobody."""
ALLOWED = frozenset({"role_may", "may", "may_read_measured"})
SEEN = frozenset({"visible_to", "readable_by", "groups_visible_to"})
CONDITIONS = frozenset({"of_visible", "of_readable"})
RULES = frozenset({"tie_of", "sees_everyone", "reads_withdrawn"})
ASKING_WHO = ("reads_withdrawn", "may_read_measured", "_readable")
DECORATORS = frozenset({"for_roles", "require_POST", "require_GET", "require_safe", "require_http_methods"})
DECIDING = SEEN | RULES | ALLOWED | {"require"}
LOADING = ("_404", "_to_change", "_to_read", "_to_screen", "_to_share")
ANY_ROW = '__import__("django.db.models", fromlist=["Q"]).Q'
UNTIED = '__import__("tests.policy.untied", fromlist=["untied"])'


@dataclass(frozen=True, slots=True)
class Mutation:
    """Text of `path` from `start` to `end` becomes `put`."""

    path: Path
    start: int
    end: int
    put: str
    what: str
    line: int

    def __str__(self) -> str:
        return f"{self.path.relative_to(CHECKOUT)}:{self.line} {self.what}"

    def applied_to(self, text: bytes) -> bytes:
        return text[: self.start] + self.put.encode() + text[self.end :]


def mutations() -> list[Mutation]:
    found = [one for path in python_files(*ROOMS) if not LEFT_ALONE & set(path.parts) for one in _of_file(path)]
    return sorted(found, key=lambda one: (str(one.path), one.start))


def _of_file(path: Path) -> Iterator[Mutation]:
    source = path.read_text()
    finder = _Finder(path, source)
    finder.visit(ast.parse(source))
    yield from finder.found


class _Finder(ast.NodeVisitor):
    def __init__(self, path: Path, source: str) -> None:
        self.path, self.source, self.found = path, source, []
        lines = source.splitlines(keepends=True)
        self._starts = [0]
        for line in lines:
            self._starts.append(self._starts[-1] + len(line.encode()))
        self._function = ""

    # ---- places

    def _span(self, node: ast.AST) -> tuple[int, int]:
        return (
            self._starts[node.lineno - 1] + node.col_offset,
            self._starts[node.end_lineno - 1] + node.end_col_offset,
        )

    def _text(self, node: ast.AST) -> str:
        return ast.get_source_segment(self.source, node) or ""

    def _add(self, node: ast.AST, put: str, what: str) -> None:
        self.found.append(Mutation(self.path, *self._span(node), put, what, node.lineno))

    # ---- what is found

    def visit_FunctionDef(self, node: ast.FunctionDef) -> None:
        before, self._function = self._function, node.name
        for one in node.decorator_list:
            name = _name_of(one.func if isinstance(one, ast.Call) else one)
            if name in DECORATORS:
                self._add(one, "(lambda view: view)", f"@{name} removed")
        self.generic_visit(node)
        self._function = before

    def visit_Call(self, node: ast.Call) -> None:
        name = _name_of(node.func)
        if name in SEEN and isinstance(node.func, ast.Attribute):
            self._add(node, f"{self._text(node.func.value)}.all()", f".{name}(…) → .all()")
        elif name == "groups_visible_to":
            self._add(node, "TrainingGroup.objects.all()", f"{name}(…) → all")
        elif name in CONDITIONS:
            self._add(node, f"{ANY_ROW}()", f"{name}(…) → all")
        elif name in ALLOWED or name in ("sees_everyone", "reads_withdrawn"):
            self._add(node, "True", f"{name}(…) → True")
        elif name == "require_change" and node.args:
            self._add(node, f"({self._text(node.args[0])}).athlete", "require_change(…) → allowed")
        elif name in LOADERS:
            arguments = self._text(node)[len(self._text(node.func)) :]
            self._add(node, f"{UNTIED}.{name}{arguments}", f"{name}(…) → without tie or right")
        elif name in ("filter", "get_object_or_404") and _stands_at_a_door(self.path):
            self._owners(node)
        self.generic_visit(node)

    def _owners(self, node: ast.Call) -> None:
        """`athlete=athlete, uuid=uuid` → `uuid=uuid`"""
        keys = [one.arg for one in node.keywords]
        for one in node.keywords:
            if one.arg and "uuid" in keys and one.arg != "uuid":
                kept = [self._text(each) for each in [*node.args, *node.keywords] if each is not one]
                self._add(node, f"{self._text(node.func)}({', '.join(kept)})", f"{one.arg}= dropped")

    def visit_Expr(self, node: ast.Expr) -> None:
        if isinstance(node.value, ast.Call) and _name_of(node.value.func) in ("require", "note_view"):
            name = _name_of(node.value.func)
            self._add(node, "None", f"{name}(…) removed")
        self.generic_visit(node)

    def visit_If(self, node: ast.If) -> None:
        """A question in a function that decides, after which it refuses."""
        refuses = any(isinstance(one, ast.Raise) and "PermissionDenied" in self._text(one) for one in node.body)
        decides = self._function in DECIDING or self._function.endswith(LOADING)
        returns = decides and isinstance(node.body[0], ast.Return)
        if refuses or returns:
            self._add(node.test, "False", f"if {self._text(node.test)[:60]} → never")
        self.generic_visit(node)

    def visit_Compare(self, node: ast.Compare) -> None:
        if self._function in ASKING_WHO and "consent" not in self._text(node):
            self._add(node, "True", f"{self._text(node)[:60]} → True")
        self.generic_visit(node)

    def visit_AnnAssign(self, node: ast.AnnAssign) -> None:
        if _name_of(node.target) == "RIGHTS" and isinstance(node.value, ast.Dict):
            for key, value in zip(node.value.keys, node.value.values, strict=True):
                self._add(value, "frozenset(Role)", f"{self._text(key)} → every role")
        self.generic_visit(node)

    def visit_Dict(self, node: ast.Dict) -> None:
        for key, value in zip(node.keys, node.values, strict=True):
            if key is not None and self._function == "tie_of" and self._text(value) != "Q()":
                self._add(value, "Q(pk__gt=0)", f"{self._text(key)}: tie → everybody")
        self.generic_visit(node)

    def visit_keyword(self, node: ast.keyword) -> None:
        if node.arg == "consent_withdrawn_on" and isinstance(node.value, ast.Constant):
            self._add(node, "pk__gt=0", "consent → not asked")
        if node.arg == "action" and self._text(node.value).startswith("Action."):
            self._add(node.value, "Action.SEE_AVAILABILITY", f"{self._text(node.value)} → everybody tied")
        self.generic_visit(node)


def _name_of(node: ast.AST) -> str:
    return node.attr if isinstance(node, ast.Attribute) else node.id if isinstance(node, ast.Name) else ""


def _stands_at_a_door(path: Path) -> bool:
    return "views" in path.parts or path.stem.endswith("access")
