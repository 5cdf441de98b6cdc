"""The order of the house: imports, relations and migrations point left, and the pure packages are pure."""

from __future__ import annotations

import ast
import subprocess
import sys
from pathlib import Path

import pytest
from django.apps import apps
from django.db.migrations.loader import MigrationLoader
from django.db.models import Model

from tests.source import CHECKOUT, CODE_FOLDERS, ROOMS, imports_of, module_name, python_files, tree_of

LABELS = {"capture_sessions": "sessions"}  # app labels that differ from the room's name

# What each pure package may use of ours besides itself. Numbers in, numbers out; bytes in, tables out.
PURE = {
    "athletes.quantities": (),
    "sessions.formats": (),
    "metrics.catalogue": (),
    "metrics.judging": (),
    "metrics.kinematics": ("metrics.catalogue", "sessions.formats"),
    "metrics.measuring": ("metrics.kinematics", "metrics.catalogue", "sessions.formats"),
    "metrics.tracing": (),
    "metrics.change": ("metrics.judging",),
    "plans.responding": ("metrics.change", "metrics.judging"),
    "metrics.sharing": ("metrics.catalogue", "athletes.quantities"),
    "metrics.importing": ("metrics.catalogue", "sessions.formats", "athletes.quantities"),
    "metrics.drawing": ("metrics.catalogue", "metrics.judging", "athletes.quantities"),
    "plans.calendar_feed": (),
    "plans.throwing_load": ("athletes.quantities",),
    "plans.library": ("metrics.catalogue",),
    "plans.sheets": (),
    "plans.media_files": (),
}
PURE_MAY_IMPORT = {
    "c3d", "numpy", "orjson", "scipy", "pandas", "openpyxl", "defusedxml", "typst", *sys.stdlib_module_names,
}  # fmt: skip
CLOCK_AND_ENVIRONMENT = {
    ("date", "today"), ("datetime", "now"), ("datetime", "today"), ("datetime", "utcnow"), ("time", "time"),
    ("os", "environ"), ("os", "getenv"),
}  # fmt: skip

# Inside a room: what stands higher may use what stands lower, never the other way.
FLOORS = {"models": 1, "selectors": 2, "services": 2, "views": 3, "api": 3, "tasks": 3, "admin": 3}


def room_index(name: str) -> int | None:
    first = name.split(".", 1)[0]
    return ROOMS.index(first) if first in ROOMS else None


def belongs_to(name: str, package: str) -> bool:
    return name == package or name.startswith(package + ".")


def test_the_source_is_found():
    assert len(python_files(*ROOMS)) > 40


def test_imports_point_left():
    wrong = [
        str(found)
        for path in python_files(*ROOMS)
        for found in imports_of(path)
        if (target := room_index(found.target)) is not None and target > (room_index(found.module) or 0)
    ]
    assert wrong == []


def test_nobody_imports_the_wiring_and_only_a_benchmark_the_tests():
    """A benchmark may use the throws that the tests synthesise."""
    wrong = [
        str(found)
        for path in python_files(*CODE_FOLDERS)
        for found in imports_of(path)
        if (belongs_to(found.target, "config") and not belongs_to(found.module, "config"))
        or (belongs_to(found.target, "tests") and not belongs_to(found.module, "bench"))
    ]
    assert wrong == []


def floor_of(name: str) -> int | None:
    words = name.split(".")
    return FLOORS.get(words[1]) if len(words) > 1 else None


def test_inside_a_room_rows_know_no_services_and_services_know_no_pages():
    wrong = []
    for path in python_files(*ROOMS):
        for found in imports_of(path):
            lower, higher = floor_of(found.module), floor_of(found.target)
            same_room = room_index(found.module) == room_index(found.target)
            if same_room and lower is not None and higher is not None and higher > lower:
                wrong.append(str(found))
    assert wrong == []


def files_of(package: str) -> tuple[Path, ...]:
    single = CHECKOUT / (package.replace(".", "/") + ".py")
    return (single,) if single.exists() else python_files(package.replace(".", "/"))


@pytest.mark.parametrize("package", PURE)
def test_a_pure_package_imports_numbers_tables_and_itself(package):
    files = files_of(package)
    assert files, f"{package} is named as pure and does not exist"
    wrong = []
    for path in files:
        for found in imports_of(path):
            allowed = (package, *PURE[package])
            ours = any(belongs_to(found.target, one) for one in allowed)
            if not ours and found.target.split(".", 1)[0] not in PURE_MAY_IMPORT:
                wrong.append(str(found))
    assert wrong == []


@pytest.mark.parametrize("package", PURE)
def test_a_pure_package_reads_no_clock_and_no_environment(package):
    wrong = []
    for path in files_of(package):
        for node in ast.walk(tree_of(path)):
            if not isinstance(node, ast.Attribute):
                continue
            owner = getattr(node.value, "attr", getattr(node.value, "id", ""))
            if (owner, node.attr) in CLOCK_AND_ENVIRONMENT:
                wrong.append(f"{module_name(path)}:{node.lineno} reads {owner}.{node.attr}")
    assert wrong == []


BARE = """
import importlib, sys

class Wall:
    def find_spec(self, name, path=None, target=None):
        if name.split(".")[0] in {"django", "rest_framework", "celery", "kombu", "redis", "config", "desk", "environ"}:
            raise ImportError(f"{name} does not exist here")

sys.meta_path.insert(0, Wall())
for name in sys.argv[1:]:
    importlib.import_module(name)
print(len(sys.argv) - 1)
"""


def test_the_pure_packages_work_in_a_process_without_django():
    names = [module_name(path) for package in PURE for path in files_of(package) if path.name != "__main__.py"]
    done = subprocess.run(
        [sys.executable, "-c", BARE, *names], cwd=CHECKOUT, capture_output=True, text=True, timeout=60, check=False
    )
    assert done.returncode == 0, done.stderr
    assert int(done.stdout) == len(names)


def our_models() -> list[type[Model]]:
    found = []
    for config in apps.get_app_configs():
        if LABELS.get(config.label, config.label) in ROOMS and config.name in ROOMS:
            found += list(config.get_models(include_auto_created=True))
    return found


def room_of_label(label: str) -> int | None:
    name = LABELS.get(label, label)
    return ROOMS.index(name) if name in ROOMS else None


def test_relations_between_rows_point_left():
    """Foreign keys by name fool a look at imports; the models themselves do not."""
    wrong, seen = [], 0
    for model in our_models():
        for field in model._meta.get_fields():
            related = field.related_model
            if not field.concrete or related is None or isinstance(related, str):
                continue
            seen += 1
            there = room_of_label(related._meta.app_label)
            if there is not None and there > (room_of_label(model._meta.app_label) or 0):
                wrong.append(f"{model._meta.label}.{field.name} → {related._meta.label}")
    assert seen > 20
    assert wrong == []


def test_the_desk_owns_no_rows():
    assert [model._meta.label for model in our_models() if model._meta.app_label == "desk"] == []


def test_migrations_point_left():
    wrong = []
    for (label, name), migration in MigrationLoader(None, ignore_no_migrations=True).disk_migrations.items():
        here = room_of_label(label)
        if here is None:
            continue
        for other, _ in migration.dependencies:
            there = room_of_label(other)
            if there is not None and there > here:
                wrong.append(f"{label}.{name} → {other}")
    assert wrong == []


def test_captures_keep_their_own_label():
    """Django's sessions app owns the label "sessions"."""
    config = apps.get_app_config("capture_sessions")
    assert config.name == "sessions"
    assert apps.get_app_config("sessions").name == "django.contrib.sessions"
