"""What the pages of the cause links show: what changed since the version before, and the picture around one finding."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass

from metrics.catalogue import load_catalogue
from metrics.catalogue.causes import Link
from metrics.causes import Changed, Difference, difference, ends_in_words, in_words, links_of
from metrics.drawing.cause_picture import CausePicture, draw_causes, up_and_down
from metrics.models import CauseGraphVersion

WHOLE = "all"


@dataclass(frozen=True, slots=True)
class ChangedLine:
    """A changed link in words: `changes` are field, before and after."""

    ends: str
    changes: tuple[tuple[str, str, str], ...]


@dataclass(frozen=True, slots=True)
class Changes:
    """`since`: the published version that it is held against; None when there is none."""

    since: CauseGraphVersion | None
    added: tuple[str, ...]
    removed: tuple[str, ...]
    changed: tuple[ChangedLine, ...]

    @property
    def is_none(self) -> bool:
        return not (self.added or self.removed or self.changed)


def changes_since_published(version: CauseGraphVersion) -> Changes:
    """What the version says that the published one before it (by number) does not."""
    published = CauseGraphVersion.objects.filter(status=CauseGraphVersion.Status.PUBLISHED, number__lt=version.number)
    since = published.order_by("-number").first()
    found: Difference = difference(links_of(version), links_of(since) if since else ())
    return Changes(
        since=since,
        added=tuple(f"{ends_in_words(link)} ({link.strength}): {link.reason}" for link in found.added),
        removed=tuple(f"{ends_in_words(link)} ({link.strength}): {link.reason}" for link in found.removed),
        changed=tuple(_changed_line(one) for one in found.changed),
    )


def _changed_line(one: Changed) -> ChangedLine:
    told = tuple((name.replace("_", " "), _shown(one.before, name), _shown(one.after, name)) for name in one.fields)
    return ChangedLine(ends_in_words(one.after), told)


def _shown(link: Link, name: str) -> str:
    return getattr(link, name).replace("_", " ") if name == "status" else getattr(link, name) or "nothing"


@dataclass(frozen=True, slots=True)
class PictureRow:
    """One link under the picture; `*_node` are what to choose to see the picture around that end."""

    cause: str
    cause_node: str
    effect: str
    effect_node: str
    kind: str
    strength: str
    reason: str


@dataclass(frozen=True, slots=True)
class PicturePage:
    """`node`: what the picture is around, "all" for everything; `choices`: (node, name, is chosen) to choose from."""

    node: str
    is_whole: bool
    name: str
    picture: CausePicture
    rows: tuple[PictureRow, ...]
    choices: tuple[tuple[str, str, bool], ...]
    total: int


def cause_picture_page(version: CauseGraphVersion, node: str) -> PicturePage:
    """The picture of what leads to a finding and from it ("key" or "key:low"), or of all links ("all").

    Without a choice that the links know: what leads to the finding with the most direct causes.
    """
    links = links_of(version)
    ends = sorted({end for link in links for end in (link.effect_end, link.cause_end)}, key=lambda end: in_words(*end))
    known = {":".join(end) for end in ends} | {end[0] for end in ends}
    asked = node if node == WHOLE or node in known else ""
    chosen = asked or _most_explained(links)
    is_whole = chosen == WHOLE
    shown = links if is_whole else up_and_down(links, chosen, down=bool(asked))
    return PicturePage(
        node=chosen,
        is_whole=is_whole,
        name="" if is_whole or not chosen else in_words(*_parted(chosen)).strip(),
        picture=draw_causes(shown, load_catalogue(), chosen="" if is_whole else chosen),
        rows=tuple(_row(link) for link in shown),
        choices=tuple((":".join(end), in_words(*end), ":".join(end) == chosen) for end in ends),
        total=len(links),
    )


def _parted(node: str) -> tuple[str, str]:
    key, _, direction = node.partition(":")
    return key, direction


def _most_explained(links: Iterable[Link]) -> str:
    """The effect of the most links; a first look metric before others, else the first by name."""
    metrics = load_catalogue().metrics
    counts = Counter(link.effect_end for link in links)
    order = sorted(
        counts, key=lambda end: (not (end[0] in metrics and metrics[end[0]].first_look), -counts[end], in_words(*end))
    )
    return ":".join(order[0]) if order else WHOLE


def _row(link: Link) -> PictureRow:
    return PictureRow(
        cause=in_words(*link.cause_end),
        cause_node=":".join(link.cause_end),
        effect=in_words(*link.effect_end),
        effect_node=":".join(link.effect_end),
        kind=link.kind,
        strength=link.strength,
        reason=link.reason,
    )
