"""Open invitations as pages list them, each with what became of its letter; and the link as a picture."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import segno

from athletes.models import Invitation, OutgoingMail

LETTER_WORDS = {
    OutgoingMail.State.WAITING: "letter on its way",
    OutgoingMail.State.SENT: "letter sent",
}


@dataclass(frozen=True, slots=True)
class OpenInvitation:
    """`trouble` is what went wrong with the letter, empty when nothing did."""

    invitation: Invitation
    letter: str
    trouble: str


def with_letters(invitations: Iterable[Invitation]) -> tuple[OpenInvitation, ...]:
    """Two queries for any number. A letter is known by its address and its time, which `invite` gives both."""
    rows = list(invitations)
    letters = {
        (letter.to, letter.written_at): letter
        for letter in OutgoingMail.objects.filter(written_at__in=[row.invited_at for row in rows])
    }
    return tuple(_listed(row, letters.get((row.email, row.invited_at))) for row in rows)


def _listed(row: Invitation, letter: OutgoingMail | None) -> OpenInvitation:
    if letter is None:
        return OpenInvitation(row, "no letter", "")
    return OpenInvitation(
        row, LETTER_WORDS.get(OutgoingMail.State(letter.state), "letter not sent"), letter.error_sentence
    )


def picture_of(link: str) -> str:
    """The link as a QR code (ISO/IEC 18004), an SVG in a data address; dark on white in any colour scheme."""
    return segno.make(link, error="m", micro=False).svg_data_uri(scale=5, dark="#000", light="#fff")
