"""Why a finding has no number: the reason codes of readings, as sentences."""

from __future__ import annotations

from collections.abc import Mapping

from metrics.judging.values import NotScored

PAIN = "pain"
NOT_TESTED = "not_tested"

NOTHING_MEASURED = NotScored("not_measurable", "No scored throw gave this number.")
WITHOUT_NUMBER: Mapping[str, NotScored] = {
    PAIN: NotScored(PAIN, "Not tested: pain."),
    NOT_TESTED: NotScored(NOT_TESTED, "Not tested."),
}
"""In the order of what a reader must know first: pain in one round is not hidden by another reason in the next."""


def reason_without_number(lost: Mapping[str, int]) -> NotScored:
    """Why no reading of this metric has a value, by the reason codes of its readings and how many have each."""
    return next((reason for code, reason in WITHOUT_NUMBER.items() if code in lost), NOTHING_MEASURED)
