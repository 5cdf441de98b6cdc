"""How the match page says roles, lanes, definitions and how sure a suggestion is."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

ROLE_GROUPS: tuple[tuple[str, tuple[tuple[str, str], ...]], ...] = (
    (
        "Who",
        (
            ("athlete_id", "athlete’s id"),
            ("athlete_name", "athlete’s name"),
            ("first_name", "given name"),
            ("last_name", "family name"),
            ("birth_date", "birth date"),
        ),
    ),
    (
        "When, and which throw",
        (
            ("date", "date of the session"),
            ("session_label", "which session of the day"),
            ("throw_number", "throw number"),
            ("excluded", "mark: throw is left out"),
            ("included", "mark: throw is used"),
            ("comment", "comment"),
        ),
    ),
    (
        "Conditions of the throw",
        (
            ("pitch_type", "pitch type"),
            ("intent", "intent"),
            ("surface", "surface"),
            ("ball", "ball"),
            ("ball_speed", "ball speed"),
        ),
    ),
)
LONG_GROUP: tuple[str, tuple[tuple[str, str], ...]] = (
    "One row a value",
    (
        ("metric_name", "name of the metric"),
        ("metric_value", "value"),
        ("metric_unit", "unit of the value"),
        ("metric_moment", "moment of the delivery"),
    ),
)
IGNORE = "ignore"
IGNORE_WORD = "not used here"
ROLE_WORDS = {key: word for _, roles in (*ROLE_GROUPS, LONG_GROUP) for key, word in roles} | {IGNORE: IGNORE_WORD}

LANE_WORDS = {
    "lower_half": "Lower half",
    "trunk": "Trunk",
    "arm": "Arm",
    "sequence": "Sequence",
    "screen": "Hands-on screens",
}

DEFINITION_WORDS = {
    "ankle_to_ankle_forward": "ankle to ankle, straight toward home",
    "ankle_to_ankle_resultant": "ankle to ankle, in a straight line",
    "rubber_to_ankle": "front of the rubber to the ankle",
    "rubber_to_toe": "front of the rubber to the toe",
    "chest_axis": "by the axis of the chest",
    "shoulder_line": "by the line of the shoulders",
    "scapula_held": "shoulder blade held at its front tip",
    "table_stabilised": "shoulder blade held by the table alone",
    "front_of_shoulder_held": "hand on the front of the shoulder",
    "blade_held_firmly": "front tip and body of the shoulder blade held firmly",
    "lying_face_down": "lying face down, hip straight",
    "seated": "seated",
}

# Least confidence → words (the thresholds of a look, not of a decision: house opinion, no source).
SURE_WORDS = ((0.9, "clear"), (0.75, "likely"), (0.0, "a guess"))
WHY_WORDS = {
    "name": "from the name",
    "synonym": "from the name",
    "words": "from its words",
    "values": "from its values",
}


def confidence_words(suggestion: Mapping[str, Any]) -> str:
    """ "clear, from the name"; what an earlier recipe decided needs no guess."""
    why = tuple(suggestion["why"])
    if "known" in why:
        return "as matched before"
    if suggestion["role"] == IGNORE:
        if why:
            return "known, not needed here"
        return "not clear; the list begins with what it might be" if suggestion["alternatives"] else "not recognised"
    sure = next(word for least, word in SURE_WORDS if suggestion["confidence"] >= least)
    reason = next((WHY_WORDS[word] for word in why if word in WHY_WORDS), "")
    return f"{sure}, {reason}" if reason else sure
