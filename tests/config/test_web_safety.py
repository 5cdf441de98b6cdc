"""What holds for the whole installation: transport, other origins, text that is never run, nothing left open."""

from __future__ import annotations

import ast
import re
from pathlib import Path

import pytest
from django.test import Client
from django.urls import reverse

from athletes.models import User
from tests.config.processes import run_python
from tests.config.test_environment import PRODUCTION
from tests.source import CHECKOUT, ROOMS, python_files

YEAR_S = 31_536_000
SCRIPTS = sorted((CHECKOUT / "static/js").rglob("*.js"))
PRINT_TRANSPORT = (
    "from django.conf import settings as s; "
    "print(s.SESSION_COOKIE_NAME, s.CSRF_COOKIE_NAME, s.SESSION_COOKIE_PATH, s.SESSION_COOKIE_DOMAIN, "
    "s.SESSION_COOKIE_SAMESITE, s.CSRF_COOKIE_SAMESITE, s.SECURE_HSTS_SECONDS, s.SECURE_HSTS_INCLUDE_SUBDOMAINS, "
    "s.SECURE_SSL_REDIRECT, s.STAFF_CODES)"
)


def test_production_keeps_its_cookies_to_itself_and_speaks_https_for_a_year(tmp_path):
    done = run_python(
        "-c", PRINT_TRANSPORT, MOUNDBOOK_VAR=str(tmp_path), DJANGO_SETTINGS_MODULE="config.settings", **PRODUCTION
    )
    assert done.stdout.split() == [
        "__Host-sessionid",
        "__Host-csrftoken",
        "/",
        "None",
        "Lax",
        "Lax",
        str(YEAR_S),
        "True",
        "True",
        "True",
    ], done.stderr


@pytest.mark.django_db
def test_plain_http_is_led_to_https_and_told_to_stay_there(settings):
    settings.SECURE_SSL_REDIRECT, settings.SECURE_HSTS_SECONDS = True, YEAR_S
    assert Client().get(reverse("login"))["Location"] == f"https://testserver{reverse('login')}"
    answer = Client().get(reverse("login"), secure=True)
    assert answer["Strict-Transport-Security"].startswith(f"max-age={YEAR_S}")


@pytest.mark.django_db
def test_no_other_origin_may_read_an_answer(admin, client_of):
    """Also not the one that the throttle gives to scripts."""
    other = {"Origin": "https://evil.example", "X-Requested-With": "XMLHttpRequest"}
    answers = [client_of(admin).get(page, headers=other) for page in ("/", "/api/athletes/", reverse("account:home"))]
    answers += [
        Client().post(reverse("login"), {"username": "x", "password": "wrong"}, headers=other) for _ in range(6)
    ]
    assert answers[-1].status_code == 429
    assert not [answer for answer in answers if answer.has_header("Access-Control-Allow-Origin")]
    preflight = client_of(admin).options("/api/athletes/", headers={**other, "Access-Control-Request-Method": "POST"})
    assert not preflight.has_header("Access-Control-Allow-Origin")


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("page", "kind"),
    [
        ("/", "text/html; charset=utf-8"),
        ("/nowhere/", "text/html; charset=utf-8"),
        ("/api/athletes/", "application/json"),  # RFC 8259, section 11: JSON has no charset parameter
        ("/api/nowhere/", "text/html; charset=utf-8"),
    ],
)
def test_every_answer_says_what_it_is(page, kind, coach, facility, client_of):
    answer = client_of(coach).get(page)
    assert answer["Content-Type"] == kind
    assert answer["X-Content-Type-Options"] == "nosniff"


@pytest.mark.django_db
def test_name_and_password_in_an_address_sign_nobody_in(django_user_model):
    django_user_model.objects.create_user("walker", password="a long right password", role="coach")
    client = Client()
    client.get(reverse("login"), {"username": "walker", "password": "a long right password"})
    assert "_auth_user_id" not in client.session


@pytest.mark.django_db
def test_a_fresh_installation_has_no_account():
    assert not User.objects.exists()


@pytest.mark.django_db
@pytest.mark.parametrize(
    "path", ["/.git/HEAD", "/static/../.git/HEAD", "/static/%2e%2e/.git/HEAD", "/.env", "/config/"]
)
def test_what_lies_in_the_checkout_is_not_served(path, admin, client_of):
    assert client_of(admin).get(path).status_code == 404


RUNS_TEXT = {
    "eval",
    "exec",
    "compile",
    "os.system",
    "os.popen",
    "pickle.loads",
    "pickle.load",
    "yaml.load",
    "marshal.loads",
}


def test_the_program_never_runs_text():
    found = []
    for path in python_files(*ROOMS):
        for node in ast.walk(ast.parse(path.read_text())):
            if not isinstance(node, ast.Call):
                continue
            name = ast.unparse(node.func)
            shell = any(word.arg == "shell" and ast.unparse(word.value) != "False" for word in node.keywords)
            if name in RUNS_TEXT or shell:
                found.append(f"{path.name}:{node.lineno} {name}")
    assert found == []


def test_raw_sql_is_never_put_together_from_values():
    """Where a cursor is used, what varies are names of our own tables; values go as parameters."""
    users = [path for path in python_files(*ROOMS) if re.search(r"\.raw\(|\.extra\(|RawSQL\(", path.read_text())]
    assert users == []
    cursors = [Path(path).name for path in python_files(*ROOMS) if "cursor()" in path.read_text()]
    assert sorted(cursors) == ["bulk_rows.py", "worded.py"]  # the second: what Django itself worded, asked again


@pytest.mark.parametrize("script", SCRIPTS, ids=lambda path: path.name)
def test_scripts_write_text_and_never_markup(script):
    markup = r"\.(?:innerHTML|outerHTML)\s*[+]?=|insertAdjacentHTML|document\.write"
    code = r"\beval\(|new Function|setTimeout\(\s*[\"'`]"
    assert re.findall(f"{markup}|{code}", script.read_text()) == []
