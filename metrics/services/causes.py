"""Cause links: the starting ones, copying a version to a draft, and publishing it with date and reason."""

from __future__ import annotations

import datetime

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone

from athletes.models import User
from athletes.services.change_log import record_change
from metrics.catalogue.causes import load_links
from metrics.cause_problems import problems_among
from metrics.causes import LINK_FIELDS, digest_of, links_of
from metrics.models import CauseGraphVersion, CauseLink

STARTING_DATE = datetime.date(2000, 1, 1)
"""The starting links explain sessions of any date, also those that were captured before the installation."""

STARTING_REASON = "Starting links of the installation."
NO_LINKS = "There is no link yet: nothing could be explained."
CHANGED_MEANWHILE = "The draft changed while this page was open. Look at the differences again, then publish."


@transaction.atomic
def install_starting_cause_links(*, by: User | None = None) -> CauseGraphVersion | None:
    """Stores and publishes the starting links, unless there is any version already; then it returns None."""
    if CauseGraphVersion.objects.exists():
        return None
    version = CauseGraphVersion.objects.create(number=1)
    CauseLink.objects.bulk_create(
        CauseLink(version=version, **{name: getattr(link, name) for name in LINK_FIELDS}) for link in load_links()
    )
    return publish_version(version=version, by=by, valid_from=STARTING_DATE, reason=STARTING_REASON)


def what_is_wrong(version: CauseGraphVersion) -> list[str]:
    """Sentences that keep a draft from being published; empty when it may be."""
    links = links_of(version)
    return problems_among(links) if links else [NO_LINKS]


@transaction.atomic
def copy_to_draft(*, version: CauseGraphVersion, by: User) -> CauseGraphVersion:
    """A new draft with the same links, to be changed and published."""
    numbers = list(CauseGraphVersion.objects.select_for_update().values_list("number", flat=True))  # two copy at once
    draft = CauseGraphVersion.objects.create(number=max(numbers) + 1)
    links = list(version.links.all())
    for link in links:
        link.pk, link.version = None, draft
    CauseLink.objects.bulk_create(links)
    record_change(by=by, action="cause links copied to draft", row=draft, before={"from": version.number})
    return draft


@transaction.atomic
def publish_version(
    *,
    version: CauseGraphVersion,
    by: User | None,
    valid_from: datetime.date,
    reason: str,
    as_read: str | None = None,
) -> CauseGraphVersion:
    """Makes a draft valid from a date; after that nobody can change it. Raises ValidationError with what is wrong.

    `as_read`: the `digest_of` the links that the person saw; None does not ask.
    """
    version.refresh_from_db(from_queryset=CauseGraphVersion.objects.select_for_update())
    if version.is_published:
        raise ValidationError("This version is published already. Copy it to a draft to change it.")
    if not reason.strip():
        raise ValidationError("Say in a sentence why this version is published.")
    if as_read is not None and as_read != digest_of(links_of(version)):
        raise ValidationError(CHANGED_MEANWHILE)
    if wrong := what_is_wrong(version):
        raise ValidationError(wrong)
    version.status = CauseGraphVersion.Status.PUBLISHED
    version.valid_from, version.reason = valid_from, reason.strip()
    version.published_at, version.published_by = timezone.now(), by
    version.save()
    record_change(
        by=by, action="cause links published", row=version, after={"valid_from": str(valid_from)}, reason=reason
    )
    return version
