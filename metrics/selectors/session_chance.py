"""What of a session's findings chance alone would give, and the score of the session as a whole: sentences."""

from __future__ import annotations

from collections.abc import Sequence

from athletes.words import counted, number_word
from metrics.judging.severity import AVERAGE_OF_SOURCE
from metrics.models import Scoring
from metrics.selectors.session_lines import Line


def score_sentence(scoring: Scoring | None) -> str:
    """Score 82 ± 9 of 100 …; empty when too little was measured. The facility decides whether it is shown."""
    if scoring is None or scoring.score is None or scoring.score_sd is None:
        return ""
    return (
        f"Score {scoring.score:.0f} ± {1.96 * scoring.score_sd:.0f} of 100, over {scoring.coverage or 0:.0%} of what "
        f"counts; average of the source: about {AVERAGE_OF_SOURCE}. Not for comparing methods or versions."
    )


def chance_sentence(scoring: Scoring | None, lines: Sequence[Line]) -> str:
    """Two counts that are never mixed: ordinary variety, and measuring error."""
    if scoring is None or not lines:
        return ""
    flags = sum(line.is_flag for line in lines)
    parts = []
    if scoring.outside_by_variety_of and scoring.outside_by_variety is not None:
        parts.append(
            f"Ordinary variety: {about(scoring.outside_by_variety)} of the "
            f"{counted(scoring.outside_by_variety_of, 'metric')} whose source says how pitchers vary "
            "would lie outside these flag limits in an average pitcher."
        )
    if scoring.flags_by_error_of and scoring.flags_by_error is not None:
        known = scoring.flags_by_error_of
        silent = flags - known
        rest = f" ({number_word(silent)} more without such a source not counted)" if silent > 0 else ""
        parts.append(
            f"Measuring error: of {'one flag' if known == 1 else f'these {known} flags'}{rest}, "
            f"{about(scoring.flags_by_error)} {'are' if known > 1 else 'is'} probably not beyond the limit."
        )
    if not parts:
        parts.append("The sources of these ranges do not say how pitchers vary, so chance cannot be counted.")
    return " ".join(parts)


def about(expected: float) -> str:
    """about 0.4; under 0.1."""
    if expected < 0.05:
        return "under 0.1"
    return f"about {expected:.1f}" if expected < 10 else f"about {expected:.0f}"
