"""Capture setups: a room's marker names matched to landmarks once, and what waits read again when a setup changes."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping

from django.core.exceptions import ValidationError
from django.db import transaction

from athletes.models import User
from athletes.services.change_log import record_change
from metrics.kinematics.landmarks import KNOWN, NEEDED
from metrics.measuring.label_words import bare_label
from metrics.measuring.suggesting import landmark_words
from metrics.models import ImportDraft
from metrics.services.imports.answers import waiting_with_header
from metrics.services.motion.reading import captured_of
from sessions.models import CaptureSetup, Upload
from sessions.services.uploads import read_again

LONGEST_NAME = 80


@transaction.atomic
def save_names(
    *, upload: Upload, names: Mapping[str, str], setup: CaptureSetup | None, new_name: str, by: User
) -> CaptureSetup:
    """Keeps which of a file's markers is which landmark, in a setup that is there or in a new one.

    This file and all that wait with the same names are read again. Raises ValidationError with every sentence that
    speaks against the match.
    """
    if wrong := [*_wrong_names(names), *_wrong_setup(setup, new_name)]:
        raise ValidationError(wrong)
    file = captured_of(ImportDraft.objects.get(upload=upload))
    if setup is None:
        setup = CaptureSetup(name=new_name.strip()[:LONGEST_NAME], created_by=by)
    before, said_anew = dict(setup.names), set(map(bare_label, file.labels))
    setup.names = {name: landmark for name, landmark in before.items() if name not in said_anew} | dict(names)
    setup.label_sets = [*dict.fromkeys([*setup.label_sets, file.label_set])]
    setup.save()
    for other in CaptureSetup.objects.exclude(pk=setup.pk):
        if file.label_set in other.label_sets:
            other.label_sets = [one for one in other.label_sets if one != file.label_set]
            other.save(update_fields=["label_sets"])
    record_change(by=by, action="capture setup saved", row=setup, before=before, after=dict(setup.names))
    options = {name: value for name, value in upload.read_options.items() if name != "setup"}
    read_again(upload=upload, by=by, options=options)  # by the setup that now knows its names
    for other_upload in waiting_with_header(file.label_set):
        if other_upload != upload:
            read_again(upload=other_upload, by=by, options=other_upload.read_options)
    return setup


def _wrong_names(names: Mapping[str, str]) -> list[str]:
    words = landmark_words()
    wrong = [f"“{landmark}” is no landmark." for landmark in set(names.values()) - set(KNOWN)]
    wrong += [
        f"Several markers are the {words[landmark]}: keep the right one."
        for landmark, count in Counter(names.values()).items()
        if count > 1 and landmark in words
    ]
    missing = [words[landmark] for landmark in NEEDED if landmark not in names.values()]
    if missing:
        wrong.append(f"Without these no throw can be measured: {', '.join(missing)}.")
    return wrong


def _wrong_setup(setup: CaptureSetup | None, new_name: str) -> list[str]:
    if setup is not None:
        return []
    if not new_name.strip():
        return ["Give the capture setup a name, for example that of the room."]
    if CaptureSetup.objects.filter(name=new_name.strip()[:LONGEST_NAME], retired_at=None).exists():
        return ["A capture setup of this name is there already: choose it from the list, or take another name."]
    return []


def read_waiting_again(setup: CaptureSetup, by: User) -> int:
    """Files that wait and were read by this setup are read as it now is; gives how many."""
    waiting = ImportDraft.objects.filter(upload__state__in=WAITING, upload__withdrawn_at=None)
    found = [
        draft.upload
        for draft in waiting.select_related("upload").only("layouts", "upload")
        if any(sheet.get("recipe") == str(setup.uuid) for sheet in draft.layouts)
    ]
    for upload in found:
        read_again(upload=upload, by=by, options=upload.read_options)
    return len(found)


WAITING = (Upload.State.NEEDS_MATCH, Upload.State.NEEDS_ANSWER, Upload.State.READY)
