"""One-time codes: right against the standard, used once, asked for at the door, set up and turned off with care."""

from __future__ import annotations

import base64
import re
from urllib.parse import unquote

import pytest
from django.contrib.auth.hashers import make_password
from django.test import Client
from django.urls import reverse
from django_otp.oath import TOTP
from django_otp.plugins.otp_static.models import StaticToken
from django_otp.plugins.otp_totp.models import TOTPDevice

from athletes.codes import as_typed, key_in_groups, matching_step, new_key, new_recovery_code, recovery_digest
from athletes.models import ChangeLog, SignIn
from tests import factories

DOOR, CODE, HOME, CODES = (reverse(name) for name in ("login", "sign-in-code", "account:home", "account:codes"))
PASSWORD = "a long right password"

# RFC 6238, appendix B, mode SHA1: the secret is the ASCII text 12345678901234567890, eight digits, steps of 30 s.
# The codes are as in the RFC; a code of six digits is the last six of them (RFC 4226, section 5.3: modulo 10^digits).
RFC_KEY = b"12345678901234567890"
RFC_6238 = [
    (59, "94287082"),
    (1111111109, "07081804"),
    (1111111111, "14050471"),
    (1234567890, "89005924"),
    (2000000000, "69279037"),
    (20000000000, "65353130"),
]


@pytest.fixture(autouse=True)
def quick(monkeypatch):
    """Recovery codes are kept by a digest that is slow on purpose; what it costs is no matter of these tests."""
    monkeypatch.setattr("athletes.codes.SCRYPT_N", 2)


# ---- the arithmetic --------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("at_s", "eight"), RFC_6238)
def test_codes_are_those_of_the_standard(at_s, eight):
    totp = TOTP(RFC_KEY, step=30, digits=8)
    totp.time = at_s
    assert f"{totp.token():08d}" == eight
    assert matching_step(RFC_KEY.hex(), eight[-6:], at_s) == at_s // 30


@pytest.mark.parametrize(("late_s", "fits"), [(-60, False), (-30, True), (0, True), (30, True), (60, False)])
def test_a_code_fits_one_step_early_or_late_and_no_more(late_s, fits):
    assert (matching_step(RFC_KEY.hex(), "005924", 1234567890 + late_s) is not None) == fits


def test_a_step_that_was_used_fits_no_more():
    step = matching_step(RFC_KEY.hex(), "005924", 1234567890)
    assert step is not None
    assert matching_step(RFC_KEY.hex(), "005924", 1234567890, after=step) is None
    assert matching_step(RFC_KEY.hex(), "005924", 1234567890, after=step - 1) == step


def test_keys_have_160_random_bits_and_are_shown_in_base_32():
    keys = {new_key() for _ in range(50)}
    assert len(keys) == 50
    assert {len(bytes.fromhex(key)) for key in keys} == {20}
    # RFC 4648, section 10: "foobar" is MZXW6YTBOI======
    assert key_in_groups(b"foobar".hex()).replace(" ", "") == "MZXW6YTBOI======"


def test_a_recovery_code_is_kept_as_a_digest_that_its_salt_changes():
    code = new_recovery_code()
    assert re.fullmatch(r"[a-hjkmnp-z2-9]{5}-[a-hjkmnp-z2-9]{5}", code)
    digest = recovery_digest(code, "salt")
    assert len(digest) == 16
    assert digest == recovery_digest(code.upper().replace("-", " "), "salt")
    assert digest != recovery_digest(code, "other salt")
    assert as_typed(code) not in digest


# ---- on the account page ---------------------------------------------------------------------------------------

pytestmark = pytest.mark.django_db


@pytest.fixture
def walker():
    return factories.UserFactory(role="coach", username="walker", password=make_password(PASSWORD))


def step_one(client: Client, **more: str):
    return client.post(DOOR, {"username": "walker", "password": PASSWORD, **more})


def code_now(account, clock, *, steps: int = 0) -> str:
    """What the phone shows now, or so many steps later."""
    totp = TOTP(TOTPDevice.objects.get(user=account).bin_key, step=30, digits=6)
    totp.time = clock.now.timestamp() + 30 * steps
    return f"{totp.token():06d}"


def set_up(client: Client, clock, password: str = PASSWORD):
    """Through the page, as a person does: the key is read from it. Returns the answer with the recovery codes."""
    page = client.get(CODES).content.decode()
    key = re.search(r"<code>([A-Z2-7 ]+)</code>", page)
    assert key
    totp = TOTP(base64.b32decode(key.group(1).replace(" ", "")), step=30, digits=6)
    totp.time = clock.now.timestamp()
    return client.post(CODES, {"password": password, "code": f"{totp.token():06d}"})


def shown_codes(answer) -> list[str]:
    return re.findall(r"<li><code>([a-z0-9-]+)</code></li>", answer.content.decode())


@pytest.fixture
def with_codes(walker, clock):
    """The account with codes on, and its recovery codes; the clock stands in a later step."""
    client = Client()
    step_one(client)
    codes = shown_codes(set_up(client, clock))
    clock.move(minutes=2)
    return codes


def test_the_page_shows_the_key_as_a_picture_and_as_text(walker, client_of):
    page = client_of(walker).get(CODES).content.decode()
    assert '<img class="qr" src="data:image/svg+xml' in page
    assert "<svg" in unquote(re.search(r'src="(data:[^"]+)"', page).group(1))


def test_a_key_counts_only_once_a_code_made_with_it_has_come_back(walker, clock):
    client = Client()
    step_one(client)
    client.get(CODES)
    assert client.post(CODES, {"password": PASSWORD, "code": "000000"}).status_code == 422
    assert not TOTPDevice.objects.exists()
    assert set_up(client, clock).status_code == 200
    assert TOTPDevice.objects.get().user == walker
    assert ChangeLog.objects.filter(action="account.codes_set_up", object_uuid=walker.uuid).count() == 1


def test_setting_up_wants_the_present_password(walker, clock):
    client = Client()
    step_one(client)
    assert set_up(client, clock, password="wrong").status_code == 422
    assert not TOTPDevice.objects.exists()


def test_setting_up_ends_every_other_sign_in(walker, clock):
    other, here = Client(), Client()
    step_one(other)
    step_one(here)
    set_up(here, clock)
    assert here.get(HOME).status_code == 200
    assert other.get(HOME).status_code == 302


def test_ten_recovery_codes_are_shown_once_and_kept_only_as_digests(with_codes):
    assert len(set(with_codes)) == 10
    kept = set(StaticToken.objects.values_list("token", flat=True))
    assert len(kept) == 10
    assert not kept & {as_typed(code) for code in with_codes}
    assert not kept & set(with_codes)


def test_renewed_recovery_codes_replace_the_old_ones(walker, with_codes, clock):
    client = signed_in_with(walker, clock)
    clock.move(minutes=1)
    answer = client.post(reverse("account:codes-renew"), {"password": PASSWORD, "code": code_now(walker, clock)})
    new = shown_codes(answer)
    assert len(new) == 10
    assert give(Client(), with_codes[0]).status_code == 422
    assert give(Client(), new[0]).status_code == 302


def test_turning_off_wants_password_and_code(walker, with_codes, clock):
    client = signed_in_with(walker, clock)
    off = reverse("account:codes-off")
    clock.move(minutes=1)
    assert client.post(off, {"password": "wrong", "code": code_now(walker, clock)}).status_code == 422
    assert client.post(off, {"password": PASSWORD, "code": "000000"}).status_code == 422
    assert TOTPDevice.objects.exists()
    assert client.post(off, {"password": PASSWORD, "code": code_now(walker, clock)}).status_code == 302
    assert not TOTPDevice.objects.exists()
    assert not StaticToken.objects.exists()
    assert step_one(Client())["Location"] == "/"


def test_an_admin_can_take_the_codes_of_a_lost_phone_away(walker, with_codes, clock, admin, client_of):
    client = signed_in_with(walker, clock)
    words = {"action": "take_codes_away", "_selected_action": [walker.pk]}
    client_of(admin).post(reverse("admin:athletes_user_changelist"), words)
    assert not TOTPDevice.objects.exists()
    assert client.get(HOME).status_code == 302


def test_no_admin_page_shows_anybodys_key(admin, client_of, with_codes):
    client = client_of(admin)
    assert client.get("/admin/otp_totp/totpdevice/").status_code == 404
    assert client.get("/admin/otp_static/staticdevice/").status_code == 404


# ---- at the door -----------------------------------------------------------------------------------------------


def give(client: Client, code: str):
    """Both steps."""
    assert step_one(client)["Location"] == CODE
    return client.post(CODE, {"code": code})


def signed_in_with(account, clock) -> Client:
    client = Client()
    assert give(client, code_now(account, clock)).status_code == 302
    return client


def test_the_right_password_alone_opens_nothing(with_codes):
    client = Client()
    assert step_one(client)["Location"] == CODE
    assert "_auth_user_id" not in client.session
    for page in ("/", HOME, CODES, "/api/athletes/", "/admin/"):
        assert client.get(page).status_code in (302, 403), page
    assert client.get(HOME)["Location"].startswith(DOOR)


def test_password_and_code_open_and_lead_on_to_what_was_asked_for(walker, with_codes, clock):
    client = Client()
    step_one(client, next=HOME)
    answer = client.post(CODE, {"code": code_now(walker, clock)})
    assert (answer.status_code, answer["Location"]) == (302, HOME)
    assert client.get(HOME).status_code == 200
    assert SignIn.objects.filter(ended_at=None, with_code=True).count() == 2


def test_codes_may_be_typed_in_groups(walker, with_codes, clock):
    code = code_now(walker, clock)
    assert give(Client(), f" {code[:3]} {code[3:]}").status_code == 302


@pytest.mark.parametrize(
    "typed", ["", "12345", "1234567", "abcdef", "１２３４５６", "-12345", "+12345", "0x1234", "1e5"]
)
def test_what_is_no_code_is_refused_in_words(with_codes, typed):
    answer = give(Client(), typed)
    assert answer.status_code == 422
    assert answer.content.count(b'class="errorlist"') == 1


def test_a_used_code_cannot_be_used_again(walker, with_codes, clock):
    code = code_now(walker, clock)
    assert give(Client(), code).status_code == 302
    assert give(Client(), code).status_code == 422
    clock.move(seconds=20)
    assert give(Client(), code).status_code == 422


def test_the_code_of_the_set_up_opens_no_door_afterwards(walker, clock):
    client = Client()
    step_one(client)
    set_up(client, clock)
    assert give(Client(), code_now(walker, clock)).status_code == 422


def test_an_earlier_code_than_the_used_one_does_not_fit_either(walker, with_codes, clock):
    earlier, later = code_now(walker, clock), code_now(walker, clock, steps=1)
    assert give(Client(), later).status_code == 302
    assert give(Client(), earlier).status_code == 422


def test_a_recovery_code_works_once(with_codes):
    assert give(Client(), with_codes[3]).status_code == 302
    assert give(Client(), with_codes[3]).status_code == 422
    assert give(Client(), with_codes[4].upper()).status_code == 302
    assert StaticToken.objects.count() == 8
    assert ChangeLog.objects.filter(action="account.recovery_code_used").count() == 2


def test_recovery_codes_of_somebody_else_open_nothing(walker, with_codes, clock):
    other = factories.UserFactory(role="coach", username="other", password=make_password(PASSWORD))
    client = Client()
    client.post(DOOR, {"username": other.username, "password": PASSWORD})
    theirs = shown_codes(set_up(client, clock))
    assert give(Client(), theirs[0]).status_code == 422


def test_half_signed_in_lasts_five_minutes(walker, with_codes, clock):
    client = Client()
    step_one(client)
    clock.move(minutes=5, seconds=1)
    answer = client.post(CODE, {"code": code_now(walker, clock)})
    assert (answer.status_code, answer["Location"]) == (302, DOOR)
    assert "_auth_user_id" not in client.session


def test_the_second_step_alone_leads_back_to_the_first(client):
    assert client.get(CODE)["Location"] == DOOR
    assert client.post(CODE, {"code": "123456"})["Location"] == DOOR


def test_half_signed_in_ends_with_a_new_password_and_with_the_account(walker, with_codes, clock):
    changed, disabled = Client(), Client()
    step_one(changed)
    walker.set_password("quite another password")
    walker.save()
    assert changed.post(CODE, {"code": code_now(walker, clock)})["Location"] == DOOR
    walker.set_password(PASSWORD)
    walker.save()
    step_one(disabled)
    walker.is_active = False
    walker.save()
    assert disabled.post(CODE, {"code": code_now(walker, clock)})["Location"] == DOOR


def test_five_wrong_codes_rest_the_code_even_when_it_is_right_then(walker, with_codes, clock):
    client = Client()
    step_one(client)
    for number in range(5):
        assert client.post(CODE, {"code": f"00000{number}"}).status_code == 422
    answer = client.post(CODE, {"code": code_now(walker, clock)})
    assert answer.status_code == 422
    assert "Too many wrong tries" in answer.content.decode()
    assert give(Client(), with_codes[0]).status_code == 422


def test_each_step_gives_the_session_a_new_key(walker, with_codes, clock):
    client = Client()
    client.get(DOOR)
    step_one(client)
    half = client.session.session_key
    client.post(CODE, {"code": code_now(walker, clock)})
    assert client.session.session_key not in (None, half)


def test_a_session_opened_beside_the_door_is_closed_when_the_account_has_codes(walker, with_codes):
    """As by a way in that somebody adds and that forgets the code."""
    client = Client()
    client.force_login(walker)
    assert client.get(HOME)["Location"].startswith(DOOR)
    assert "_auth_user_id" not in client.session


def test_a_session_opened_beside_the_door_is_listed_from_its_first_page_on(walker):
    client = Client()
    client.force_login(walker)
    assert "this one" in client.get(HOME).content.decode()
    assert SignIn.objects.get().account == walker


# ---- staff, by the installation's setting ----------------------------------------------------------------------


@pytest.fixture
def staff_codes(settings):
    settings.STAFF_CODES = True
    return settings


@pytest.mark.parametrize("role", ["admin", "coach", "clinician"])
def test_staff_without_codes_are_led_to_set_them_up_and_nothing_else_opens(role, staff_codes, client_of):
    client = client_of(factories.UserFactory(role=role))
    for page in ("/", HOME, reverse("account:password"), "/admin/", reverse("athletes:new")):
        assert (client.get(page).status_code, client.get(page)["Location"]) == (302, CODES), page
    assert client.post(reverse("athletes:new"), {})["Location"] == CODES
    assert client.get("/api/athletes/").status_code == 403
    assert client.get("/", headers={"HX-Request": "true"})["HX-Redirect"] == CODES
    assert "Nothing else opens until this is done" in client.get(CODES).content.decode()
    assert client.post(reverse("logout")).status_code in (200, 302)


@pytest.mark.parametrize("role", ["athlete", "guardian", "visiting_coach"])
def test_families_and_visiting_coaches_are_not_asked(role, staff_codes, client_of):
    assert client_of(factories.UserFactory(role=role)).get(HOME).status_code == 200


def test_staff_who_have_set_codes_up_go_on(walker, staff_codes, clock):
    client = Client()
    step_one(client)
    assert client.get(HOME)["Location"] == CODES
    set_up(client, clock)
    assert client.get(HOME).status_code == 200
    clock.move(minutes=2)
    assert signed_in_with(walker, clock).get(HOME).status_code == 200


def test_staff_who_turn_codes_off_are_led_to_set_them_up_again(walker, with_codes, staff_codes, clock):
    client = signed_in_with(walker, clock)
    clock.move(minutes=1)
    client.post(reverse("account:codes-off"), {"password": PASSWORD, "code": code_now(walker, clock)})
    assert client.get(HOME)["Location"] == CODES
