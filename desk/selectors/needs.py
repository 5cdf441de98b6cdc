"""What needs the coach today, each with a reason and a next step: ten lines at most, the gravest first."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from django.urls import reverse

from athletes.models import User
from athletes.models.people import AthleteQuerySet
from desk.selectors.need import FIRST_NAMES, Need, Needs
from desk.selectors.needs_care import pain_and_stops, sizes_needed
from desk.selectors.needs_work import flags_needed, unseen_needed, uploads_needed
from desk.words import number_word

MOST = 10


@dataclass(frozen=True, slots=True)
class NeedsYou:
    """Ten lines at most; the counts say how many athletes or files stand behind them."""

    stopped: Needs
    uploads: Needs
    flags: Needs
    unseen: Needs
    sizes: Needs

    @property
    def lines(self) -> tuple[Need, ...]:
        """Flags give way to the short lines at the end; what does not fit is counted in a line of its own."""
        end = self.unseen.lines + self.sizes.lines
        start = _fit(self.stopped.lines + self.uploads.lines, MOST - len(end) - bool(self.flags.lines))
        flags = _fit(self.flags.lines, MOST - len(start) - len(end))
        return start + flags + end

    @property
    def count(self) -> int:
        return sum(len(needs.lines) for needs in (self.stopped, self.uploads, self.flags, self.unseen, self.sizes))

    @property
    def sentence(self) -> str:
        """The day in one sentence."""
        parts = [
            (self.stopped.count, "{} stopped"),
            (self.uploads.count, "{} to answer"),
            (self.flags.count, "{} with new flags"),
            (self.unseen.count, "{} not seen for long"),
        ]
        told = [
            words.format(
                f"{number_word(count)} {'file' if count == 1 else 'files'}" if "answer" in words else number_word(count)
            )
            for count, words in parts
            if count
        ]
        if not told:
            return "Nothing waits for you."
        text = ", ".join(told)
        return f"{text[0].upper()}{text[1:]}."


def needs_you(user: User, watched: AthleteQuerySet, today: dt.date) -> NeedsYou:
    """`watched`: the athletes whose flags and gaps are the reader's; pain and files are everybody's."""
    return NeedsYou(
        stopped=pain_and_stops(user, today),
        uploads=uploads_needed(user, today),
        flags=flags_needed(watched, today),
        unseen=unseen_needed(watched, today),
        sizes=sizes_needed(watched, today),
    )


def _fit(lines: tuple[Need, ...], room: int) -> tuple[Need, ...]:
    """As many as there is room for; the last line then stands for all that are left out."""
    return lines if len(lines) <= room else (*lines[: room - 1], _rest(lines[room - 1 :]))


def _rest(left_out: tuple[Need, ...]) -> Need:
    """The athletes whose lines do not fit, by name, and the uploads among them."""
    people = tuple(person for line in left_out for person in line.people)
    files = "; ".join(line.title for line in left_out if line.kind in ("answer", "refused"))
    kinds = {line.kind for line in left_out}
    title = "New flags: " if kinds == {"flags"} else "Also stopped: " if people else "Also: "
    url = f"{reverse('desk:roster')}?sort={'flags' if kinds == {'flags'} else 'needs'}"
    named = people[:FIRST_NAMES]
    return Need("more", title, named, len(people) - len(named), reason=files, step="Roster", url=url)
