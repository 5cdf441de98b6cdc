"""The starting profiles: legal data, no ties, enough of the first look, and the trade's own check values."""

from dataclasses import fields
from itertools import product
from pathlib import Path

import pytest

from metrics.catalogue import load_catalogue
from metrics.catalogue.profiles import ProfileDataError, load_starting_profile, starting_profile_names
from metrics.catalogue.profiles.loading import CHOICES, COLUMNS, PROFILE_FOLDER, _read_rules
from metrics.judging.conflicts import find_conflicts
from metrics.judging.ranges import limits_for_size, resolve_rule
from metrics.judging.values import Applied, BodySize, Conditions, Rule, Thresholds
from metrics.judging.verdicts import judge_one
from tests.metrics.catalogue.profiles.build_published import REFERENCE_FOLDER, read_rows

LEVELS = ("youth", "high_school", "college", "professional")
METHODS = ("motion_capture", "video")
LANDINGS = ("fc", "fp", "unknown")
HOUSE_SOURCES = {"house opinion, no source", "common clinical practice, no published source"}
CERTAIN = 1e9  # degrees of freedom: a normal distribution
KNOWN_BODY = BodySize(height_cm=183.0, mass_kg=84.0)


def rules_of(name: str) -> list[Rule]:
    return [Rule(id=number, **values) for number, values in enumerate(load_starting_profile(name).rules)]


@pytest.fixture(scope="module")
def house() -> list[Rule]:
    return rules_of("house_starting")


@pytest.fixture(scope="module")
def published() -> list[Rule]:
    return rules_of("published")


def resolve(rules, metric, method, level, landing, *, body=KNOWN_BODY, filter_hz=None):
    """The rule for a session whose file gives one landing moment, as scoring asks for it."""
    return resolve_rule(
        rules,
        metric=metric.key,
        method=method,
        level=level,
        conditions=Conditions(),
        body_size=body,
        available_landings=(landing,),
        default_definition=metric.definition_default,
        filter_hz=filter_hz,
        filter_dependent=metric.filter_dependent,
        landing_dependent=metric.is_landing_dependent,
        landing_rate=metric.landing_rate,
    )


def winner(rules, key, method, level, landing, **details) -> Rule:
    applied = resolve(rules, load_catalogue().metric(key), method, level, landing, **details)
    assert isinstance(applied, Applied), applied
    return applied.rule


# --- the data is legal


def test_columns_are_the_fields_of_a_rule_and_a_note():
    assert set(COLUMNS) - {"note"} == {field.name for field in fields(Rule)} - {"id"}


def test_there_are_two_profiles_and_the_house_adds_to_the_published_one():
    assert starting_profile_names() == ("published", "house_starting")
    published, house = (load_starting_profile(name) for name in starting_profile_names())
    assert house.rules[: len(published.rules)] == published.rules
    assert len(house.rules) > len(published.rules)
    assert len(house.notes) == len(house.rules)


def test_an_unknown_profile_is_refused():
    with pytest.raises(KeyError):
        load_starting_profile("nobody's")


def test_every_metric_is_in_the_catalogue_and_its_limits_lie_in_the_plausible_span(house):
    for rule in house:
        metric = load_catalogue().metric(rule.metric)
        for limit in (rule.target_low, rule.target_high, rule.flag_low, rule.flag_high):
            assert limit is None or metric.plausible_low <= limit <= metric.plausible_high, (rule, limit)


def test_context_and_style_have_no_range(house):
    assert {load_catalogue().metric(rule.metric).kind for rule in house} == {"mechanic", "outcome", "screen"}


def test_elbow_varus_torque_by_size_is_the_only_load_of_the_arm_with_a_range(house):
    loads = {rule.metric for rule in house if "torque" in rule.metric or "distraction" in rule.metric}
    assert loads == {"elbow_varus_torque_norm"}


@pytest.mark.parametrize("height_cm", [None, 120.0, 150.0, 183.0, 205.0])
def test_limits_are_ordered_at_every_body_size(house, height_cm):
    for rule in house:
        limits, _ = limits_for_size(rule, height_cm)
        assert limits.flag_low <= limits.target_low < limits.target_high <= limits.flag_high, rule


def test_a_severity_unit_can_be_found_for_every_flag(house):
    """It is the watch zone's width, else half the target's, else it must be stated (numbers, severity)."""
    for rule in house:
        for side in ("low", "high"):
            flag, target = getattr(rule, f"flag_{side}"), getattr(rule, f"target_{side}")
            both_ends = None not in (rule.target_low, rule.target_high)
            derivable = flag is None or flag != target or both_ends
            assert derivable or getattr(rule, f"unit_{side}") > 0, rule


@pytest.mark.parametrize("name", ["published", "house_starting"])
def test_a_profile_could_be_saved_as_it_is_and_no_two_rules_can_both_win(name):
    by_filter = {metric.key for metric in load_catalogue().metrics.values() if metric.filter_dependent}
    assert find_conflicts(rules_of(name), filter_dependent=by_filter) == []


def test_only_screens_are_hands_on_and_every_rule_names_its_method(house):
    for rule in house:
        is_screen = load_catalogue().metric(rule.metric).kind == "screen"
        assert (rule.method == "hands_on") == is_screen, rule
        assert rule.method, rule


def test_video_rules_are_only_for_what_a_camera_can_see(house):
    assert all(load_catalogue().metric(rule.metric).view for rule in house if rule.method == "video")


def test_a_metric_that_moves_at_landing_never_leaves_the_landing_open(house):
    """A rule without a landing moment would add the whole uncertainty of an event that nobody named."""
    for rule in house:
        metric = load_catalogue().metric(rule.metric)
        if metric.is_landing_dependent and metric.landing_rate:
            assert rule.landing in ("fc", "fp"), rule
        elif not metric.is_landing_dependent:
            assert rule.landing is None, rule


def test_definitions_are_the_catalogues_own(house):
    for rule in house:
        assert rule.definition is None or rule.definition in load_catalogue().metric(rule.metric).definitions


# --- every rule says where it comes from


def test_published_profile_holds_sourced_rules_only(published):
    assert {rule.status for rule in published} == {"published", "from_memory"}
    assert not any(rule.source in HOUSE_SOURCES or "practice" in rule.source for rule in published)


def test_what_the_house_adds_is_labelled_as_such(house, published):
    added = house[len(published) :]
    assert {rule.status for rule in added} == {"house_opinion", "common_practice"}
    assert {rule.source for rule in added} == HOUSE_SOURCES
    assert all((rule.status == "house_opinion") == rule.source.startswith("house opinion") for rule in added)
    assert all(rule.source_mean is None and rule.source_sd is None for rule in added)


def test_every_rule_has_a_source_that_fits_its_column_and_a_note():
    profile = load_starting_profile("house_starting")
    for rule, note in zip(profile.rules, profile.notes, strict=True):
        assert 0 < len(rule["source"]) <= 300
        assert note.endswith("."), (rule["metric"], note)


def test_the_house_adds_no_rule_where_one_is_published_for_level_and_landing(house, published):
    """What differs must be what a rule was written for: landing, filter or body size; or any level."""
    taken = {(rule.metric, rule.method, rule.level, rule.landing) for rule in published}
    for rule in house[len(published) :]:
        assert (rule.metric, rule.method, rule.level, rule.landing) not in taken, rule


def test_a_target_narrower_than_one_published_sd_says_that_it_is_common_practice(house, published):
    profile = load_starting_profile("house_starting")
    for rule, note in zip(house, profile.notes, strict=True):
        norms = [
            other.source_sd
            for other in published
            if other.metric == rule.metric and other.source_sd and rule.level in (None, other.level)
        ]
        if rule.status != "house_opinion" or not norms or None in (rule.target_low, rule.target_high):
            continue
        if rule.target_high - rule.target_low < 2 * min(norms):
            assert "common practice" in note, (rule, note)


# --- enough of the first look


def measurable_first_look(method):
    return [metric for metric in load_catalogue().first_look if method == "motion_capture" or metric.view]


@pytest.mark.parametrize(("method", "level", "landing"), list(product(METHODS, LEVELS, LANDINGS)))
@pytest.mark.parametrize("filter_hz", [None, 13.4, 20.0])
@pytest.mark.parametrize("body", [KNOWN_BODY, BodySize()], ids=["measured", "no_body_size"])
def test_four_fifths_of_the_first_look_have_a_rule(house, method, level, landing, filter_hz, body):
    metrics = measurable_first_look(method)
    found = [
        metric.key
        for metric in metrics
        if isinstance(resolve(house, metric, method, level, landing, body=body, filter_hz=filter_hz), Applied)
    ]
    assert len(found) >= 0.8 * len(metrics), {metric.key for metric in metrics} - set(found)


def test_every_mechanic_that_ends_a_cause_link_has_a_range_at_every_level(house):
    links = read_rows(REFERENCE_FOLDER / "cause_links.csv")
    ends = {row[name] for row in links for name in ("flag_metric", "cause_metric_or_screen")}
    mechanics = [m for m in load_catalogue().metrics.values() if m.key in ends and m.kind == "mechanic"]
    assert len(mechanics) > 40
    for metric, level, landing in product(mechanics, LEVELS, ("fc", "fp")):
        assert isinstance(resolve(house, metric, "motion_capture", level, landing), Applied), metric.key
        if metric.view:
            assert isinstance(resolve(house, metric, "video", level, landing), Applied), metric.key


def test_a_dozen_screens_have_a_range_at_every_level(house):
    screens = [metric for metric in load_catalogue().metrics.values() if metric.kind == "screen"]
    for level in LEVELS:
        judged = [m for m in screens if isinstance(resolve(house, m, "hands_on", level, "unknown"), Applied)]
        assert len(judged) >= 12


# --- the trade's check values: common practice, no published source


@pytest.mark.parametrize("level", LEVELS)
def test_external_rotation_at_plant_is_forty_to_seventy_five(house, level):
    rule = winner(house, "shoulder_external_rotation_fp", "motion_capture", level, "fp")
    assert (rule.target_low, rule.target_high) == (40, 75)


@pytest.mark.parametrize("level", LEVELS)
def test_elbow_flexion_at_plant_holds_eighty_five_to_a_hundred(house, level):
    rule = winner(house, "elbow_flexion_fp", "motion_capture", level, "fp")
    assert rule.target_low <= 85
    assert rule.target_high >= 100
    video = winner(house, "elbow_flexion_fp", "video", level, "fp")
    assert (video.flag_low, video.target_low, video.target_high, video.flag_high) == (85, 90, 110, 110)


@pytest.mark.parametrize("level", LEVELS)
def test_greatest_external_rotation_is_a_hundred_and_sixty_to_eighty_flagged_from_two_hundred(house, level):
    """Where the filter of the recalled norms is not the session's."""
    rule = winner(house, "shoulder_external_rotation_max", "motion_capture", level, "fp", filter_hz=20.0)
    assert (rule.target_low, rule.target_high, rule.flag_high) == (160, 180, 200)


@pytest.mark.parametrize(
    ("key", "method", "value", "zone", "side"),
    [
        ("shoulder_external_rotation_fp", "motion_capture", 5, "flag", "low"),
        ("shoulder_external_rotation_fp", "motion_capture", 55, "in_range", ""),
        ("elbow_flexion_fp", "video", 92, "in_range", ""),
        ("elbow_flexion_fp", "video", 80, "flag", "low"),
        ("elbow_flexion_fp", "video", 115, "flag", "high"),
        ("elbow_flexion_fp", "video", 88, "watch", "low"),
        ("elbow_flexion_fp", "motion_capture", 88, "in_range", ""),
        ("shoulder_external_rotation_max", "motion_capture", 175, "in_range", ""),
        ("shoulder_external_rotation_max", "motion_capture", 205, "flag", "high"),
    ],
)
def test_check_values_get_the_verdict_that_a_coach_expects(house, key, method, value, zone, side):
    applied = resolve(house, load_catalogue().metric(key), method, "college", "fp")
    verdict = judge_one(float(value), 2.0, CERTAIN, applied.limits, Thresholds())
    assert (verdict.zone, verdict.side) == (zone, side)


def test_a_shorter_athlete_gets_limits_of_his_size(house):
    metric = load_catalogue().metric("stride_offset")
    tall = resolve(house, metric, "motion_capture", "youth", "fp", body=BodySize(height_cm=183.0))
    short = resolve(house, metric, "motion_capture", "youth", "fp", body=BodySize(height_cm=140.0))
    assert short.limits.flag_high == pytest.approx(tall.limits.flag_high * 140 / 183, abs=0.1)
    assert short.limits.flag_low == pytest.approx(tall.limits.flag_low * 140 / 183, abs=0.1)


def test_at_least_two_metrics_depend_on_height(house):
    assert len({rule.metric for rule in house if rule.size_basis == "height"}) >= 2


# --- settings


def test_thresholds_are_the_settings_of_a_profile_version():
    assert Thresholds(**load_starting_profile("published").thresholds) == Thresholds()


def test_scored_throws_are_mound_full_effort_fastball_regulation():
    conditions = load_starting_profile("house_starting").conditions
    assert Conditions(**conditions) == Conditions("fastball", "full_effort", "mound", "regulation")
    assert all(value in CHOICES[name] for name, value in conditions.items())


# --- bad data is refused in words


def write_rules(folder: Path, line: str) -> Path:
    file = folder / "rules.csv"
    file.write_text(f"{','.join(COLUMNS)}\n{line}\n", encoding="utf-8")
    return file


@pytest.mark.parametrize(
    ("column", "text", "words"),
    [("target_low", "ten", "not a number"), ("status", "certain", "none of"), ("level", "pro", "none of")],
)
def test_a_bad_cell_is_named_by_file_row_and_column(tmp_path, column, text, words):
    cells = dict.fromkeys(COLUMNS, "") | {"metric": "stride_length", "status": "published", column: text}
    with pytest.raises(ProfileDataError, match=f"rules.csv, row 2, {column}: .*{words}"):
        _read_rules(write_rules(tmp_path, ",".join(cells[name] for name in COLUMNS)))


def test_a_short_row_is_refused(tmp_path):
    with pytest.raises(ProfileDataError, match="ends before column"):
        _read_rules(write_rules(tmp_path, "stride_length,video"))


def test_a_file_with_other_columns_is_refused(tmp_path):
    file = tmp_path / "rules.csv"
    file.write_text("metric,low,high\n", encoding="utf-8")
    with pytest.raises(ProfileDataError, match="expected the columns"):
        _read_rules(file)


def test_no_data_file_is_left_out():
    assert {path.name for path in PROFILE_FOLDER.glob("*.csv")} == {"published.csv", "house_starting.csv"}
