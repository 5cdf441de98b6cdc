"""What a name says by itself, and what a room's set of names is known by. Names are invented (no published source)."""

from __future__ import annotations

import random
from pathlib import Path

import numpy as np
import pytest

from metrics.kinematics.landmarks import KNOWN, NEEDED
from metrics.measuring import label_words
from metrics.measuring.label_words import name_chances, rows_of
from metrics.measuring.linking import links
from metrics.measuring.standing import template
from metrics.measuring.suggesting import label_set_fingerprint
from tests.metrics.kinematics.pitches import HEIGHT_M, made
from tests.metrics.measuring.people import name_styles

NOTHING = len(KNOWN)
DATA = Path(label_words.__file__).parent / "data"


def meant(name: str) -> str | None:
    """The landmark that a name says, None for "none of them" or nothing."""
    chances = name_chances(name)
    best = int(np.argmax(chances))
    return KNOWN[best] if chances[best] > 0.5 and best < NOTHING else None


@pytest.mark.parametrize("style", name_styles())
def test_at_least_nineteen_of_twenty_needed_names_are_understood(style):
    """Half of the styles were written before the vocabulary, by its own author: no more than a weak hold-out."""
    names = name_styles()[style][1]
    wrong = {names[landmark]: meant(names[landmark]) for landmark in NEEDED if meant(names[landmark]) != landmark}
    assert len(wrong) <= 0.05 * len(NEEDED), wrong


@pytest.mark.parametrize("style", name_styles())
def test_no_name_is_taken_for_another_landmark(style):
    names = name_styles()[style][1]
    assert {
        name: meant(name) for landmark, name in names.items() if meant(name) not in {landmark, None}
    } == {}  # fmt: skip


def test_half_of_the_styles_were_held_out():
    held_out = [held for held, _ in name_styles().values()]
    assert sum(held_out) >= len(held_out) / 2


@pytest.mark.parametrize(
    ("name", "landmark"),
    [
        ("R_EL", "R_EL"), ("somebody:R_EL", "R_EL"), ("el_r", "R_EL"), ("REL", "R_EL"), ("LMM", "L_MM"),
        ("OUTERELBOWRIGHT", "R_EL"), ("rightElbowOuter", "R_EL"), ("elbow (outer), right", "R_EL"),
        ("Außenknöchel links", "L_LM"), ("Aussenknoechel li", "L_LM"), ("coude ext. G", "L_EL"),
        ("codo ext D", "R_EL"), ("l_epicondylus_lat_humeri", "L_EL"), ("right knee", "R_FLE"), ("c7", "C7"),
        ("MT2_R", "R_MT2"), ("left big toe", "L_MT2"), ("back", "T8"), ("Hinterkopf", "HEAD_B"), ("ball_1", "BALL"),
    ],
)  # fmt: skip
def test_words_sides_and_spellings(name, landmark):
    assert meant(name) == landmark


@pytest.mark.parametrize("name", ["", "M001", "*12", "R", "T10", "L5", "C3", "Trunk1", "right", "x" * 500, "ä", "::"])
def test_a_name_that_says_nothing_leaves_everything_open(name):
    chances = name_chances(name)
    assert np.ptp(chances) == pytest.approx(0.0)


@pytest.mark.parametrize("name", ["R thigh 1", "LFOREARM", "left upper arm", "Schienbein", "lower back", "clavicle"])
def test_a_place_of_the_body_without_a_landmark_is_none_of_them(name):
    assert int(np.argmax(name_chances(name))) == NOTHING


@pytest.mark.parametrize("name", ["elbow", "heel", "head", "knee lat"])
def test_a_name_without_side_leaves_the_side_open(name):
    chances = name_chances(name)
    best = np.flatnonzero(np.isclose(chances, chances.max()))
    assert len(best) == 2


def test_chances_add_up():
    for name in ("R_EL", "elbow", "M001", "thigh"):
        assert name_chances(name).sum() == pytest.approx(1.0)


def test_the_tables_name_landmarks_that_exist():
    bases = {label[2:] if label[:2] in {"R_", "L_"} else label for label in KNOWN}
    assert {row["landmark"] for row in rows_of("landmarks.csv")} == bases
    assert {row["landmark"] for row in rows_of("standing_places.csv")} == bases
    assert {row[end] for row in rows_of("marker_distances.csv") for end in ("first", "second")} <= bases
    assert all(0 <= link.first < link.second < len(KNOWN) for link in links())


def test_the_standing_body_is_mirrored_from_side_to_side():
    places = template().places
    for index, label in enumerate(KNOWN):
        if label.startswith("R_"):
            other = places[KNOWN.index(f"L_{label[2:]}")]
            assert places[index] == pytest.approx(other * [1.0, -1.0, 1.0])
            assert other[1] > 0  # to the left


def test_forearm_and_shank_have_their_published_lengths():
    """Elbow to wrist 0.146, knee to ankle 0.246 of stature: Drillis & Contini 1966 (from memory)."""
    found = {(KNOWN[link.first], KNOWN[link.second]): link.distance for link in links()}
    assert found["R_EL", "R_RS"] == pytest.approx(0.146, abs=0.005)
    assert found["L_FLE", "L_LM"] == pytest.approx(0.246, abs=0.005)


def test_distances_are_those_of_a_body_and_steady_through_its_throw():
    recording = made()
    for link in links():
        first, second = KNOWN[link.first], KNOWN[link.second]
        if first in recording.labels and second in recording.labels:
            apart = np.linalg.norm(recording.marker(first) - recording.marker(second), axis=1) / HEIGHT_M
            within = 0.03 if "FLE" in second and "ASIS" in first else 0.01
            assert np.mean(apart) == pytest.approx(link.distance, abs=within), (first, second)
            assert np.std(apart) < link.steady, (first, second)


def test_a_rooms_names_are_known_by_whatever_wears_them_in_any_order():
    labels = ["C7", "R elbow", "L elbow", "Ball"]
    known = label_set_fingerprint(labels)
    shuffled = random.Random(1).sample(labels, len(labels))
    for same in (
        shuffled,
        [label.upper() for label in labels],
        [label.lower() for label in labels],
        [f"Somebody:{label}" for label in labels],
        ["Anna:C7", "Anna:R elbow", "Ben:L elbow", "Ball"],
        [*labels, "", " ", "*1", "*27", "Anna:*3", "*"],
        [f" {label} " for label in labels],
        [*labels, "Ben:C7"],
    ):
        assert label_set_fingerprint(same) == known
    assert len(known) == 64
    assert int(known, 16) >= 0


@pytest.mark.parametrize("others", [["C7"], ["C7", "R elbow", "L elbow"], ["C7", "R elbow", "L elbow", "Bell"], []])
def test_other_names_are_another_room(others):
    assert label_set_fingerprint(others) != label_set_fingerprint(["C7", "R elbow", "L elbow", "Ball"])


def test_names_do_not_run_together():
    assert label_set_fingerprint(["A", "BC"]) != label_set_fingerprint(["AB", "C"])


@pytest.mark.parametrize(
    ("name", "landmark"), [("R elb", "R_EL"), ("ankl_L", "L_LM"), ("RShould", "R_AC"), ("R cal", None)]
)
def test_the_beginning_of_a_word_counts_when_it_is_that_of_one_meaning(name, landmark):
    assert meant(name) == landmark


def test_a_side_that_is_said_twice_and_differently_is_left_open():
    chances = name_chances("right elbow outer left")
    assert chances[KNOWN.index("R_EL")] == pytest.approx(chances[KNOWN.index("L_EL")])


def test_tables_say_where_their_numbers_come_from():
    for name in ("landmark_words.csv", "landmarks.csv", "standing_places.csv", "marker_distances.csv"):
        first = (DATA / name).read_text(encoding="utf-8").splitlines()[0]
        assert first.startswith("#"), name
        assert "house opinion" in first or "no published source" in first, name
