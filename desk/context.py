"""What every page needs: the main navigation of the reader's role, and whether there is something to search."""

from __future__ import annotations

from dataclasses import dataclass

from django.http import HttpRequest
from django.urls import reverse

from athletes.models import Role
from athletes.turning import turned_of
from desk.turning import TURNS_INTO

STAFF = frozenset({Role.ADMIN, Role.COACH})
SEARCHING = STAFF | {Role.CLINICIAN, Role.VISITING_COACH}


@dataclass(frozen=True, slots=True)
class NavigationItem:
    label: str
    url: str
    current: bool


@dataclass(frozen=True, slots=True)
class Place:
    """`paths` are the beginnings of the addresses at which this place counts as open; "/" only itself."""

    label: str
    page: str
    paths: tuple[str, ...]
    roles: frozenset[Role]


PLACES = (
    Place("Today", "desk:today", ("/",), STAFF),
    Place("Your groups", "desk:today", ("/", "/athletes/", "/shared/"), frozenset({Role.VISITING_COACH})),
    Place("Your athletes", "desk:today", ("/", "/athletes/", "/sessions/"), frozenset({Role.CLINICIAN})),
    Place("Roster", "desk:roster", ("/roster/", "/groups/", "/athletes/", "/sessions/", "/mine/", "/shared/"), STAFF),
    Place("Follow-ups", "plans:follow-ups", ("/follow-ups/",), STAFF),
    Place("Upload", "sessions:uploads", ("/uploads/", "/imports/"), STAFF),
    Place("Library", "plans:library", ("/library/", "/works-here/"), STAFF | {Role.CLINICIAN}),
    Place(
        "Range profiles", "admin:metrics_rangeprofile_changelist", ("/admin/metrics/range",), frozenset({Role.ADMIN})
    ),
    Place(
        "Cause links", "admin:metrics_causegraphversion_changelist", ("/admin/metrics/cause",), frozenset({Role.ADMIN})
    ),
)


def navigation(request: HttpRequest) -> dict[str, object]:
    """Families have one page and need no navigation; a screen that is turned has none."""
    turned = turned_of(request)
    if turned:
        return {"turned": turned, "nav": [], "facility": getattr(request, "facility", None), "may_search": False}
    role = getattr(getattr(request, "user", None), "role", "")
    items = [
        NavigationItem(place.label, reverse(place.page), _is_open(place, request.path))
        for place in PLACES
        if role in place.roles
    ]
    return {
        "nav": items,
        "facility": getattr(request, "facility", None),
        "may_turn": role in STAFF and _page_name(request) in TURNS_INTO,
        "may_search": role in SEARCHING,
        "search_query": request.GET.get("q", "") if request.path == reverse("desk:search") else "",
    }


def _page_name(request: HttpRequest) -> str:
    match = getattr(request, "resolver_match", None)
    return match.view_name if match else ""


def _is_open(place: Place, path: str) -> bool:
    return any(path == start if start == "/" else path.startswith(start) for start in place.paths)
