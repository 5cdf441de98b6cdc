"""The two vocabularies: every phrase can be met, none means two things."""

import csv
from collections import Counter
from importlib.resources import files

import pytest

from metrics.importing.recipes import ROLES
from metrics.importing.roles import guess_role
from metrics.importing.words import LONGEST_PHRASE, pieces_of, read_header


def rows_of(name):
    text = files("metrics.importing").joinpath(name).read_text(encoding="utf-8")
    return list(csv.DictReader(text.splitlines()))


WORDS = rows_of("words.csv")
PHRASES = [phrase for row in WORDS for phrase in row["phrases"].split("|") if phrase]


def test_every_phrase_is_what_a_header_is_split_into():
    assert [phrase for phrase in PHRASES if pieces_of(phrase) != tuple(phrase.split())] == []
    assert [phrase for phrase in PHRASES if len(phrase.split()) > LONGEST_PHRASE] == []


def test_no_phrase_has_two_meanings():
    assert [phrase for phrase, count in Counter(PHRASES).items() if count > 1] == []


def test_every_single_meaning_has_a_weight_and_joint_meanings_are_made_of_those():
    weighted = {row["meaning"] for row in WORDS if " " not in row["meaning"]}
    joint = {token for row in WORDS for token in row["meaning"].split()}
    assert joint <= weighted
    assert all(float(row["weight"]) >= 0 for row in WORDS)


def test_every_role_has_names_that_find_it_and_is_known_to_recipes():
    for row in rows_of("roles.csv"):
        assert row["role"] in ROLES
        for name in row["names"].split("|"):
            shape = "long" if row["role"].startswith("metric_") else "wide"
            assert guess_role(name, (), shape=shape).role == row["role"], name


@pytest.mark.parametrize(
    ("header", "tokens", "moment"),
    [
        ("Max ER", {"shoulder", "er", "max"}, "mer"),
        ("Max ER time", {"shoulder", "er", "max", "time"}, ""),
        ("Elbow flexion at max ER", {"elbow", "flexion"}, "mer"),
        ("Knee lift height", {"knee_lift"}, "pkh"),
        ("Trunk flexion BR", {"trunk", "forward", "tilt"}, "br"),
        ("Trunk flexion velocity", {"trunk", "flexion", "velocity"}, ""),
        ("Release height", {"release", "height"}, ""),
        ("Knee extension FC to BR", {"knee", "extension", "lead"}, "fc-br"),
        ("HSS@FP", {"separation"}, "fp"),
        ("Ext rot at landing", {"shoulder", "er"}, "landing"),
        ("Knee ext at landing", {"knee", "extension", "lead"}, "landing"),
    ],
)
def test_what_a_header_says_is_content_and_moment(header, tokens, moment):
    found = read_header(header)
    assert (set(found.tokens), found.moment) == (tokens, moment)
