"""The installation's own checks: each finds its fault, says what to do, and is silent when all is well."""

from __future__ import annotations

from pathlib import Path

import pytest
from django.core.checks import Error, run_checks

from config import checks

WELL = {
    "MODE": "production",
    "HTTPS": True,
    "SECURE_PROXY_SSL_HEADER": ("HTTP_X_FORWARDED_PROTO", "https"),
    "ALLOWED_HOSTS": ["moundbook.example.org"],
    "DEBUG": False,
    "REDIS_URL": "redis://127.0.0.1:6379/0",
    "DATABASES": {"default": {"ENGINE": "django.db.backends.postgresql"}},
    "UPLOAD_MAX_BYTES": 1,
    "STAFF_CODES": True,
    "EMAIL_BACKEND": "django.core.mail.backends.smtp.EmailBackend",
    "PUBLIC_ADDRESS": "https://moundbook.example.org",
}
SQLITE = {"default": {"ENGINE": "django.db.backends.sqlite3"}}
FAULTS = [
    ("moundbook.E002", {"REDIS_URL": "", "EMBEDDED_BROKER_SOCKET": Path("/tmp") / ("x" * 103)}),
    ("moundbook.E003", {"HTTPS": False}),
    ("moundbook.E004", {"ALLOWED_HOSTS": ["*"]}),
    ("moundbook.E005", {"DEBUG": True}),
    ("moundbook.W006", {"UPLOAD_MAX_BYTES": 2**60}),
    ("moundbook.W007", {"DATABASES": SQLITE}),
    ("moundbook.W008", {"REDIS_URL": ""}),
    ("moundbook.E009", {"MODE": "demo", "ALLOWED_HOSTS": ["localhost", "0.0.0.0"]}),
    ("moundbook.W020", {"STAFF_CODES": False}),
    ("moundbook.W010", {"SECURE_PROXY_SSL_HEADER": None}),
    ("moundbook.W011", {"EMAIL_BACKEND": "django.core.mail.backends.console.EmailBackend"}),
    ("moundbook.W012", {"PUBLIC_ADDRESS": ""}),
    ("moundbook.W012", {"PUBLIC_ADDRESS": "http://moundbook.example.org"}),
]


def found_by(monkeypatch: pytest.MonkeyPatch, tmp_path: Path, **changed: object) -> dict[str, object]:
    class Installation:
        VAR_DIR = tmp_path / "var" / "not" / "made" / "yet"
        EMBEDDED_BROKER_SOCKET = tmp_path / "broker.sock"

    for name, value in {**WELL, **changed}.items():
        setattr(Installation, name, value)
    monkeypatch.setattr(checks, "settings", Installation)
    return {message.id: message for check, _ in checks.CHECKS for message in check()}


def test_a_sound_installation_is_not_complained_about(monkeypatch, tmp_path):
    assert found_by(monkeypatch, tmp_path) == {}


@pytest.mark.parametrize(("number", "changed"), FAULTS, ids=[number for number, _ in FAULTS])
def test_each_fault_is_found_with_a_hint_what_to_do(monkeypatch, tmp_path, number, changed):
    found = found_by(monkeypatch, tmp_path, **changed)
    assert number in found
    assert len(found[number].hint) > 10
    assert isinstance(found[number], Error) == (".E" in number)


def test_a_socket_path_of_107_bytes_is_the_longest_that_passes(monkeypatch, tmp_path):
    """unix(7): sun_path holds 108 bytes with its closing zero."""
    exact = Path("/" + "x" * 106)
    assert "moundbook.E002" not in found_by(monkeypatch, tmp_path, REDIS_URL="", EMBEDDED_BROKER_SOCKET=exact)
    longer = Path("/" + "x" * 107)
    assert "moundbook.E002" in found_by(monkeypatch, tmp_path, REDIS_URL="", EMBEDDED_BROKER_SOCKET=longer)


def test_a_data_folder_that_cannot_be_written_is_found(monkeypatch, tmp_path):
    monkeypatch.setattr(checks.os, "access", lambda path, mode: False)  # root may write anywhere
    assert "moundbook.E001" in found_by(monkeypatch, tmp_path)


def test_a_file_in_the_place_of_the_data_folder_is_found(monkeypatch, tmp_path):
    (tmp_path / "var").write_text("")
    assert "moundbook.E001" in found_by(monkeypatch, tmp_path)


def test_the_demo_on_ones_own_machine_may_use_what_production_should_not(monkeypatch, tmp_path):
    found = found_by(
        monkeypatch, tmp_path, MODE="demo", ALLOWED_HOSTS=["localhost"], REDIS_URL="", DATABASES=SQLITE, HTTPS=False
    )
    assert found == {}


def test_django_runs_them_at_every_start(settings):
    settings.UPLOAD_MAX_BYTES = 2**60
    assert "moundbook.W006" in {message.id for message in run_checks()}
