"""One request of one persona, after which everything is as it was."""

from __future__ import annotations

import re
from dataclasses import dataclass
from http.cookies import SimpleCookie

from django.conf import settings
from django.db import transaction
from django.http import HttpResponseBase
from django.test import Client

from athletes.models import ViewLog
from tests.policy.personas import Persona
from tests.policy.places import Pattern, bodies, made_up_address, real_address
from tests.policy.secrets import SECRETS
from tests.policy.world import World
from tests.printed import words_of

YES, NO, NOT_THERE, SIGN_IN, WRONG_METHOD = "yes", "no", "not there", "sign in", "no such request"
REFUSED = {403: NO, 404: NOT_THERE, 405: WRONG_METHOD}
DOORS = ("/sign-in/", "/admin/login/")
DONE = range(200, 300)
NOTHING_DONE = {302, 400, 409, 410, 422}  # redirected after the act, or the form’s mistakes answered in words


@dataclass(frozen=True, slots=True)
class Answer:
    status: int
    headers: dict[str, str]
    body: bytes
    looks: tuple[str, ...]
    """What the view log kept of this request, on the world’s athlete."""

    @property
    def word(self) -> str:
        """As the table of addresses says it. A status that it has no word for is given as the number."""
        if self.status == 302 and self.headers.get("Location", "").startswith(DOORS):
            return SIGN_IN
        if self.status in DONE or self.status in NOTHING_DONE:
            return YES
        return REFUSED.get(self.status, str(self.status))

    @property
    def without_tokens(self) -> bytes:
        """The body, each masked token replaced: it is drawn anew for every answer."""
        return re.sub(rb'(csrfmiddlewaretoken" value=|X-CSRFToken": )"[^"]*"', rb"\1", self.body)

    @property
    def text(self) -> str:
        """The body, of a PDF what stands on its pages, and the headers, which may name a file."""
        is_pdf = self.headers.get("Content-Type") == "application/pdf"
        body = words_of(self.body) if is_pdf else self.body.decode("utf-8", "replace")
        return body + "\n".join(self.headers.values())


class Knocker:
    def __init__(self, world: World) -> None:
        self.world = world
        self._client = Client()
        self._keys = {key: self._sign_in(account) for key, account in world.accounts.items()}
        self._bodies = bodies(world)
        self._answers: dict[tuple[str, str, str], Answer] = {}

    def _sign_in(self, account: object) -> str:
        client = Client()
        client.force_login(account)
        return client.cookies[settings.SESSION_COOKIE_NAME].value

    def knock(self, persona: Persona, method: str, path: str, data: dict[str, str] | None = None) -> Answer:
        self._client.cookies = SimpleCookie()
        if persona.account:
            self._client.cookies[settings.SESSION_COOKIE_NAME] = self._keys[persona.account]
        with transaction.atomic():
            if persona.account:
                persona.change(self.world.athlete, self.world.accounts[persona.account])
            last = ViewLog.objects.order_by("-pk").values_list("pk", flat=True).first() or 0
            response = (
                self._client.generic(method, path)
                if method not in _FORMS
                else _FORMS[method](self._client, path, data or {})
            )
            answer = Answer(response.status_code, dict(response.headers), _body(response), self._looks(last))
            transaction.set_rollback(True)
        return answer

    def _looks(self, after: int) -> tuple[str, ...]:
        rows = ViewLog.objects.filter(pk__gt=after, athlete_uuid=self.world.athlete.uuid)
        return tuple(rows.values_list("what", flat=True))

    def names_nobody(self, answer: Answer) -> bool:
        """Neither name of the athlete."""
        return not any(name in answer.text for name in SECRETS["name"])

    def tells_nothing(self, answer: Answer) -> bool:
        """Neither the athlete’s name nor any address of theirs."""
        athlete = self.world.athlete
        return self.names_nobody(answer) and str(athlete.uuid) not in answer.text

    def at(self, persona: Persona, method: str, pattern: Pattern) -> Answer:
        """At the real address. Asked once: nothing that a request does outlives it, so the answer stays the same."""
        key = persona.name, method, pattern.name
        if key not in self._answers:
            body = dict(self._bodies.get(pattern.name, {}))
            self._answers[key] = self.knock(persona, method, real_address(pattern, self.world), body)
        return self._answers[key]

    def at_made_up(self, persona: Persona, method: str, pattern: Pattern) -> Answer:
        body = dict(self._bodies.get(pattern.name, {}))
        return self.knock(persona, method, made_up_address(pattern, self.world), body)


_FORMS = {"GET": Client.get, "POST": Client.post}


def _body(response: HttpResponseBase) -> bytes:
    return b"".join(response.streaming_content) if response.streaming else response.content
