"""What the reader chose in the address: which metric, method, order, how many, which part of the flag history."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, fields, replace
from urllib.parse import urlencode

DELIVERY = "delivery"
MOST_TEXT = 80


@dataclass(frozen=True, slots=True)
class Choice:
    """Each as the address has it, and as it is left out where nothing was chosen. `older`: steps back in the flag
    history; `values`: the history's numbers instead of its marks."""

    metric: str = ""
    method: str = ""
    order: str = ""
    all: str = ""
    older: str = ""
    values: str = ""

    @property
    def shows_all(self) -> bool:
        return bool(self.all)

    @property
    def by_delivery(self) -> bool:
        return self.order == DELIVERY

    @property
    def steps_back(self) -> int:
        """0 for whatever is no number."""
        return int(self.older) if self.older.isascii() and self.older.isdigit() and len(self.older) < 4 else 0

    def link(self, part: str = "", **changes: str) -> str:
        """The address's question with these changes, and a part of the page."""
        changed = replace(self, **changes)
        asked = {item.name: getattr(changed, item.name) for item in fields(changed)}
        said = urlencode({name: value for name, value in asked.items() if value})
        return f"?{said}{f'#{part}' if part else ''}"


def choice_from(asked: Mapping[str, str]) -> Choice:
    """From the address, cut to what it could mean."""
    return Choice(**{item.name: asked.get(item.name, "")[:MOST_TEXT] for item in fields(Choice)})
