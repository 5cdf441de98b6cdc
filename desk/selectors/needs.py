"""What needs the coach today, each with a reason and a next step: ten lines at most, the gravest first."""

from __future__ import annotations

from dataclasses import dataclass, fields

from django.urls import reverse

from athletes.words import number_word
from desk.selectors.need import FIRST_NAMES, Need, Needs
from desk.selectors.needs_care import pain_and_stops, sizes_needed
from desk.selectors.needs_due import follow_ups_needed
from desk.selectors.needs_shares import shares_needed
from desk.selectors.needs_watch import recurring_needed, sore_today
from desk.selectors.needs_work import flags_needed, judged_sessions, unseen_needed, uploads_needed
from desk.selectors.watched import Watched

MOST = 10


@dataclass(frozen=True, slots=True)
class NeedsYou:
    """Ten lines at most; the counts say how many athletes or files stand behind them."""

    stopped: Needs
    uploads: Needs
    flags: Needs
    due: Needs
    recurring: Needs
    sore: Needs
    unseen: Needs
    sizes: Needs
    shares: Needs

    @property
    def lines(self) -> tuple[Need, ...]:
        """Flags give way to the short lines at the end; what does not fit is counted in a line of its own."""
        short = (self.due, self.recurring, self.sore, self.shares, self.unseen, self.sizes)
        end = tuple(line for needs in short for line in needs.lines)
        start = _fit(self.stopped.lines + self.uploads.lines, MOST - len(end) - bool(self.flags.lines))
        flags = _fit(self.flags.lines, MOST - len(start) - len(end), self.flags.unworded)
        return start + flags + end

    @property
    def count(self) -> int:
        reasons: list[Needs] = [getattr(self, reason.name) for reason in fields(self)]
        return sum(len(needs.lines) + needs.unworded for needs in reasons)

    @property
    def sentence(self) -> str:
        """The day in one sentence."""
        parts = [
            (self.stopped.count, "{} stopped"),
            (self.uploads.count, "{} to answer"),
            (self.flags.count, "{} with new flags"),
            (self.due.count, "{} to follow up"),
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


def needs_you(watched: Watched) -> NeedsYou:
    """What waits for the reader. The number of queries does not grow with what waits."""
    user, today = watched.reader, watched.today
    sessions = judged_sessions(watched)
    return NeedsYou(
        stopped=pain_and_stops(watched),
        uploads=uploads_needed(user, today),
        flags=flags_needed(watched, sessions),
        due=follow_ups_needed(watched),
        recurring=recurring_needed(watched, sessions),
        sore=sore_today(user, today),
        unseen=unseen_needed(watched),
        sizes=sizes_needed(watched),
        shares=shares_needed(watched),
    )


def _fit(lines: tuple[Need, ...], room: int, unworded: int = 0) -> tuple[Need, ...]:
    """As many as there is room for; the last line then stands for all that are left out."""
    if len(lines) + unworded <= room:
        return lines
    return (*lines[: room - 1], _rest(lines[room - 1 :], unworded))


def _rest(left_out: tuple[Need, ...], unworded: int) -> Need:
    """The athletes whose lines do not fit, by name, and the uploads among them."""
    people = tuple(person for line in left_out for person in line.people)
    files = "; ".join(line.title for line in left_out if line.kind in ("answer", "refused"))
    kinds = {line.kind for line in left_out}
    title = "New flags: " if kinds == {"flags"} else "Also stopped: " if people else "Also: "
    url = f"{reverse('desk:roster')}?sort={'flags' if kinds == {'flags'} else 'needs'}"
    named = people[:FIRST_NAMES]
    return Need("more", title, named, len(people) - len(named) + unworded, reason=files, step="Roster", url=url)
