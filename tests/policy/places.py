"""Every named address of the application, with ids of rows that are there."""

from __future__ import annotations

import inspect
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from uuid import UUID, uuid4

from django.urls import URLPattern, URLResolver, get_resolver, reverse
from django.urls.resolvers import RoutePattern

from tests.policy.secrets import NAME
from tests.policy.world import MECHANIC, World

ADMIN = "admin:"
WORDS = {
    "metric": MECHANIC,
    "uidb64": "MQ",
    "token": "set-password",
    "secret": "made-up",
    "key": "hip_turns_seated",
    "number": "1",
}
"""Parts of addresses that are no ids."""

# What `<uuid:uuid>` is, by the beginning of the address; then what the other parts of an address are.
OWNERS = (
    ("groups/", "group"),
    ("athletes/groups/", "group"),
    ("athletes/invite/", "invitation of a coach"),
    ("athletes/", "athlete"),
    ("mine/to-do/", "prescription"),
    ("mine/", "athlete"),
    ("library/media/", "picture of shown work"),
    ("shared/", "share"),
    ("account/sign-ins/", "somebody else’s sign-in"),
    ("sessions/", "session"),
    ("uploads/", "upload"),
    ("screens/saved/", "screen entry"),
    ("follow-ups/", "follow-up"),
    ("api/athletes/", "athlete"),
    ("api/sessions/", "session"),
    ("api/shares/", "share"),
)
PARTS = {
    "note_uuid": "note",
    "report_uuid": "pain report",
    "answer_uuid": "answer",
    "throw_uuid": "throw",
    "unit_uuid": "part of an upload",
    "share_uuid": "share",
    "guardian_uuid": "guardian",
    "invitation_uuid": "invitation",
    "check_in_uuid": "check-in",
    "act": "act on the group",
    "count_uuid": "throws of a day",
    "prescription_uuid": "prescription",
}
RECORDED = {"uuid": "recorded session", "throw_uuid": "recorded throw"}
# Addresses of things in a state of their own.
SPECIAL: Mapping[str, Mapping[str, str]] = {
    "athletes:note-restore": {"note_uuid": "withdrawn note"},
    "plans:throws-restore": {"count_uuid": "withdrawn throws"},
    "sessions:original": {"uuid": "recorded upload"},
    "sessions:upload-restore": {"uuid": "withdrawn upload"},
    "athletes:apart-again": {"uuid": "merged record"},
    "metrics:session-restore": {"uuid": "withdrawn session"},
    "metrics:session-motion": RECORDED,
    "metrics:session-curves": RECORDED,
    "metrics:throw-figure": RECORDED,
    "metrics:throw-events": RECORDED,
    "metrics:throw-event-move": RECORDED,
    "metrics:throw-event-restore": RECORDED,
    "metrics:labels": {"uuid": "unnamed recording"},
    "metrics:import-setup": {"uuid": "unnamed recording"},
    "metrics:share-restore": {"share_uuid": "withdrawn share"},
}


def queries(world: World) -> Mapping[str, Mapping[str, str]]:
    """What an address asks for behind its question mark, where without it there is nothing to see."""
    sheet = world.things["upload"].draft.layouts[0]["fingerprint"]
    athlete = str(world.athlete.uuid)
    return {
        "desk:search": {"q": NAME[:3]},
        "desk:today": {"who": "everyone"},
        "desk:roster": {"who": "everyone"},
        "desk:roster-csv": {"who": "everyone"},
        "plans:follow-ups": {"who": "everyone"},
        "plans:give": {"use": world.things["prescription"].version.intervention.key},
        "plans:follow-ups-csv": {"who": "everyone"},
        "metrics:session": {"all": "1"},
        "metrics:session-curves": {"curve": "elbow_flexion"},
        "metrics:compare-curves": {"curve": "elbow_flexion"},
        "metrics:match": {"sheet": sheet},
        "metrics:match-row": {"sheet": sheet, "row": "c4"},
        "metrics:import-lines": {"upload": str(world.uuid_of("upload"))},
        "desk:turn-pin": {"path": f"/mine/{athlete}/"},
        "metrics:screens": {"draft": str(world.uuid_of("screen draft"))},
        "metrics:screens-station": {"who": "all", "only": "hip_ir_front", "at": athlete},
        "metrics:screens-blank": {"athlete": athlete},
    }


def bodies(world: World) -> Mapping[str, Mapping[str, str]]:
    """What is posted where an empty form names nothing at all; everywhere else the form is empty."""
    sheet = world.things["upload"].draft.layouts[0]["fingerprint"]
    page = f"/mine/{world.athlete.uuid}/"
    return {
        "desk:turn": {"path": page},
        "desk:turn-pin": {"path": page},
        "metrics:match-leave-out": {"sheet": sheet},
        "metrics:match": {"sheet": sheet},
    }


@dataclass(frozen=True, slots=True)
class Pattern:
    """`route`: as in the URL configuration, without the marks of regular expressions; `parts`: its variables."""

    name: str
    route: str
    parts: tuple[str, ...]

    @property
    def has_id(self) -> bool:
        return any(part not in WORDS for part in self.parts)


@cache
def patterns() -> tuple[Pattern, ...]:
    return tuple(_walk(get_resolver(), "", ""))


def _walk(resolver: URLResolver, space: str, before: str) -> Iterator[Pattern]:
    for one in resolver.url_patterns:
        route = before + re.sub(r"[\^$]|\(\?P<(\w+)>[^)]*\)", lambda m: f"<{m[1]}>" if m[1] else "", str(one.pattern))
        if isinstance(one, URLResolver):
            yield from _walk(one, space + (f"{one.namespace}:" if one.namespace else ""), route)
        else:
            yield Pattern(f"{space}{one.name}", route, _parts(one))


def _parts(one: URLPattern) -> tuple[str, ...]:
    if isinstance(one.pattern, RoutePattern):
        return tuple(one.pattern.converters)
    return tuple(one.pattern.regex.groupindex)


def ours() -> tuple[Pattern, ...]:
    """All but the addresses of the administration, which are one class."""
    return tuple(one for one in patterns() if not one.route.startswith("admin/"))


def things_of(pattern: Pattern) -> dict[str, str]:
    """What each id of the address is of. Raises KeyError with what this table does not know yet."""
    owner = next((thing for start, thing in OWNERS if pattern.route.startswith(start)), None)
    known = {**PARTS, **({"uuid": owner} if owner else {}), **SPECIAL.get(pattern.name, {})}
    return {part: known[part] for part in pattern.parts if part not in WORDS}


def is_known(pattern: Pattern) -> bool:
    try:
        things_of(pattern)
    except KeyError:
        return False
    return True


def address(pattern: Pattern, ids: Mapping[str, UUID | str], query: Mapping[str, str] | None = None) -> str:
    words = {part: WORDS[part] for part in pattern.parts if part in WORDS}
    found = reverse(pattern.name, kwargs={**words, **{part: ids[part] for part in ids}})
    return found + ("?" + "&".join(f"{key}={value}" for key, value in query.items()) if query else "")


def real_address(pattern: Pattern, world: World) -> str:
    ids = {part: world.uuid_of(thing) for part, thing in things_of(pattern).items()}
    return address(pattern, ids, queries(world).get(pattern.name))


def made_up_address(pattern: Pattern, world: World) -> str:
    """The same address with ids that nothing has."""
    return address(pattern, {part: uuid4() for part in things_of(pattern)}, queries(world).get(pattern.name))


def view_modules() -> dict[str, set[str]]:
    """Names of addresses by the module that answers them."""
    found: dict[str, set[str]] = {}
    for one in _views(get_resolver(), ""):
        found.setdefault(one[0], set()).add(one[1])
    return found


def _views(resolver: URLResolver, space: str) -> Iterator[tuple[str, str]]:
    for one in resolver.url_patterns:
        if isinstance(one, URLResolver):
            yield from _views(one, space + (f"{one.namespace}:" if one.namespace else ""))
        else:
            yield inspect.unwrap(one.callback).__module__, f"{space}{one.name}"
