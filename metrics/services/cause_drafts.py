"""Work on a draft of the cause links. A published version takes none of it.

A form says how the link read when its page was opened (`as_read`, a digest); a link that somebody else changed or took
away meanwhile is not written over unseen.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction

from athletes.models import User
from athletes.services.change_log import record_change
from metrics.catalogue.causes import Link
from metrics.cause_problems import problems_among
from metrics.causes import LINK_FIELDS, difference, digest_of, ends_in_words, links_of, to_link
from metrics.models import CauseGraphVersion, CauseLink

PUBLISHED = "This version is published: nothing in it can change. Copy it to a draft."
GONE = "Somebody took this link away, or discarded its draft, while this page was open. Add it again if it should stay."
CHANGED = (
    "Somebody changed this link while this page was open. It now says: {now}. What you typed still stands here; "
    "save again to put it in place of that."
)


def _hold_draft(version: CauseGraphVersion) -> CauseGraphVersion:
    """The version as it is now, held until the end of the transaction. Raises ValidationError once published."""
    held = CauseGraphVersion.objects.select_for_update().filter(pk=version.pk).first()
    if held is None:
        raise ValidationError("This draft was discarded while this page was open.")
    if held.is_published:
        raise ValidationError(PUBLISHED)
    return held


def problems_of_change(link: CauseLink) -> list[str]:
    """What a new or changed link would bring into its version: sentences that are not true without it.

    The link need not be stored. What is wrong with other links does not keep this one from being saved.
    """
    rows = CauseLink.objects.filter(version_id=link.version_id).exclude(pk=link.pk)
    others = [to_link(row) for row in rows]
    known = set(problems_among(others, while_changing=True))
    found = problems_among([*others, to_link(link)], while_changing=True)
    return [sentence for sentence in found if sentence not in known]


def changed_meanwhile(link: CauseLink, as_read: str) -> str:
    """The sentence about a link that is not any more as its page showed it; "" when it is."""
    stored = CauseLink.objects.filter(pk=link.pk).first()
    if stored is None:
        return GONE
    return "" if digest_of([to_link(stored)]) == as_read else CHANGED.format(now=link_in_words(to_link(stored)))


def link_in_words(link: Link) -> str:
    """All that a link says, for a person to compare with what was typed."""
    status = link.status.replace("_", " ")
    return f"{ends_in_words(link)}, {link.kind}, {link.strength}, “{link.reason}”, {link.source} ({status})"


@transaction.atomic
def save_link(*, link: CauseLink, by: User, as_read: str | None = None) -> CauseLink:
    """Stores a new or changed link of a draft. Raises ValidationError with what is wrong, a cycle with its path."""
    version = _hold_draft(link.version)
    before = CauseLink.objects.filter(pk=link.pk).first() if link.pk else None
    if before and before.version_id != version.pk:
        raise ValidationError("A link stays in its version. Add another one there.")
    if link.pk and as_read is not None and (sentence := changed_meanwhile(link, as_read)):
        raise ValidationError(sentence)
    link.clean_fields()
    if wrong := problems_of_change(link):
        raise ValidationError(wrong)
    link.full_clean()
    link.save()
    record_change(
        by=by,
        action="cause link changed" if before else "cause link added",
        row=version,
        before=as_kept(to_link(before)) if before else None,
        after=as_kept(to_link(link)),
    )
    return link


@transaction.atomic
def remove_link(*, link: CauseLink, by: User) -> None:
    version = _hold_draft(link.version)
    record_change(by=by, action="cause link removed", row=version, before=as_kept(to_link(link)))
    link.delete()


def as_kept(link: Link) -> dict[str, Any]:
    """What the change log keeps of a link."""
    return {name: value for name in LINK_FIELDS if (value := getattr(link, name))}


@transaction.atomic
def replace_links(*, version: CauseGraphVersion, links: Sequence[Link], by: User) -> CauseGraphVersion:
    """Puts these links in place of all of a draft's. Raises ValidationError, and changes nothing, when one is wrong."""
    held = _hold_draft(version)
    rows = [CauseLink(version=held, **{name: getattr(link, name) for name in LINK_FIELDS}) for link in links]
    for row in rows:
        row.clean_fields()
    if wrong := problems_among(links):
        raise ValidationError(wrong)
    changes = difference(links, links_of(held))
    held.links.all().delete()
    CauseLink.objects.bulk_create(rows)
    record_change(
        by=by,
        action="cause links replaced by a file",
        row=held,
        before={
            "removed": [as_kept(link) for link in changes.removed],
            "changed": [as_kept(c.before) for c in changes.changed],
        },
        after={
            "added": [as_kept(link) for link in changes.added],
            "changed": [as_kept(c.after) for c in changes.changed],
        },
    )
    return held


@transaction.atomic
def discard_draft(*, version: CauseGraphVersion, by: User) -> None:
    """Deletes a draft with its links; nothing can rest on one."""
    held = _hold_draft(version)
    count, _ = held.links.all().delete()
    record_change(by=by, action="cause links draft discarded", row=held, before={"name": str(held), "links": count})
    held.delete()
