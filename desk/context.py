"""What every page needs: the main navigation."""

from dataclasses import dataclass

from django.http import HttpRequest
from django.urls import NoReverseMatch, reverse


@dataclass(frozen=True, slots=True)
class NavigationItem:
    label: str
    url: str
    current: bool


# label, URL name, the path that is its own, roles
PLACES = (
    ("Today", "desk:today", ("admin", "coach")),
    ("Roster", "desk:roster", ("admin", "coach")),
    ("Upload", "metrics:uploads", ("admin", "coach")),
    ("Range profiles", "admin:metrics_rangeprofile_changelist", ("admin",)),
)


def navigation(request: HttpRequest) -> dict[str, object]:
    role = getattr(getattr(request, "user", None), "role", "")
    items = []
    for label, name, roles in PLACES:
        if role not in roles:
            continue
        try:
            url = reverse(name)
        except NoReverseMatch:
            continue
        current = request.path == url if url == "/" else request.path.startswith(url)
        items.append(NavigationItem(label, url, current))
    return {"nav": items, "facility": getattr(request, "facility", None)}
