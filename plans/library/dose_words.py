"""A dose as it is read: "3 × 30 s, every day"."""

from __future__ import annotations

from plans.library.model import Dose
from plans.library.words import SUPERVISIONS

EVERY_DAY = 7


def tell_dose(dose: Dose) -> str:
    """Amount, load and days, in one line without a stop."""
    return ", ".join(part for part in (_amount(dose), _load(dose), _days(dose)) if part)


def tell_supervision(dose: Dose) -> str:
    return SUPERVISIONS[dose.supervision]


def span_words(span: tuple[float, float]) -> str:
    """ "12 to 15", or "12" where both are the same."""
    low, high = (f"{end:g}".replace("-", "−") for end in span)
    return low if low == high else f"{low} to {high}"


def _amount(dose: Dose) -> str:
    if dose.words:
        return dose.words
    parts = [_sets(dose)]
    if dose.throws:
        parts.append(f"{span_words(dose.throws)} throws")
    if dose.work_minutes:
        parts.append(f"{span_words(dose.work_minutes)} min")
    return ", then ".join(part for part in parts if part)


def _sets(dose: Dose) -> str:
    if not dose.sets:
        return ""
    if dose.reps and dose.seconds:
        what = f"{span_words(dose.reps)} holds of {span_words(dose.seconds)} s"
    else:
        what = span_words(dose.reps) if dose.reps else f"{span_words(dose.seconds or (0, 0))} s"
    times = f"{span_words(dose.sets)} × {what}"
    times += f" of each of {dose.moves} movements" if dose.moves > 1 else ""
    return f"{times}, each side" if dose.each_side else times


def _load(dose: Dose) -> str:
    return f"{span_words(dose.load_kg)} kg" if dose.load_kg else ""


def _days(dose: Dose) -> str:
    if not dose.days or dose.words:
        return ""
    if dose.days == (EVERY_DAY, EVERY_DAY):
        return "every day"
    return f"{span_words(dose.days)} {'day' if dose.days == (1, 1) else 'days'} a week"
