"""A data file that breaks a rule is refused at the first start, with file, entry and what to do."""

import shutil

import pytest

from metrics.catalogue import BadCatalogue, load_catalogue, read_catalogue
from metrics.catalogue.loader import DATA_FOLDER

LOWER = "lower_half.toml"
LAST_FAMILY = 'family = "elbow_varus_torque"\n'

HOSTILE = {
    "unknown field": (LOWER, 'decimals = 0', 'decimals = 0\nsneaky = 1', "unknown field sneaky"),
    "missing text": (LOWER, 'low_word = "rushed"\n', "", "stride_time, low_word: text is missing"),
    "empty text": (LOWER, '"rushed"', '"  "', "stride_time, low_word: text is missing"),
    "space around": (LOWER, '"rushed"', '" rushed"', "begins or ends with a space"),
    "number for a text": (LOWER, '"rushed"', "7", "low_word: text is missing"),
    "long short name": (LOWER, '"Stride time"', '"Time of the stride, all of it"', "short_name has 29 characters"),
    "duplicate key": (LOWER, 'key = "stride_offset"', 'key = "stride_length"', "duplicate key stride_length"),
    "key in capitals": (LOWER, 'key = "stride_offset"', 'key = "Stride offset"', "lower-case words"),
    "unknown unit": (LOWER, 'unit = "% height"', 'unit = "furlong"', "unit 'furlong' is not one of"),
    "unknown kind": (LOWER, 'kind = "style"', 'kind = "fashion"', "kind 'fashion' is not one of"),
    "unknown moment": (LOWER, 'moment = "pkh-fp"', 'moment = "pkh-zz"', "no event or interval"),
    "backward moment": (LOWER, 'moment = "pkh-fp"', 'moment = "fp-pkh"', "runs backward"),
    "weight too great": (LOWER, "weight = 7", "weight = 11", "weight 11 lies outside 0 to 10"),
    "weight below zero": (LOWER, "weight = 7", "weight = -1", "weight -1 lies outside"),
    "weight of a style": (LOWER, "weight = 0", "weight = 2", "kind style has weight 0"),
    "weight as text": (LOWER, "weight = 7", 'weight = "7"', "a finite number is needed"),
    "weight infinite": (LOWER, "weight = 7", "weight = inf", "a finite number is needed"),
    "flag as text": (LOWER, "first_look = true", 'first_look = "yes"', "true or false is needed"),
    "decimals as truth": (LOWER, "decimals = 0", "decimals = true", "a whole number from 0 to 4"),
    "reversed span": (LOWER, "plausible_low = 25", "plausible_low = 99", "plausible_low is not below"),
    "few synonyms": (LOWER, '  "stride direction",\n  "stride width",\n  "stride offset FP",\n', "",
                     "at least 4 synonyms"),
    "synonym twice": (LOWER, '"stride duration"', '"stride_phase_time"', "stands twice"),
    "synonym of another": (LOWER, '"stride duration"', '"Step_Length"', "names both stride_time and stride_length"),
    "synonyms as text": (LOWER, "definitions = [", 'derived_from = "x"\ndefinitions = [', "a list of texts"),
    "no landing rate": (LOWER, "landing_rate = 30\n", "", "landing_rate is missing"),
    "negative rate": (LOWER, "landing_rate = 30\n", "landing_rate = -30\n", "cannot be negative"),
    "family of one": ("arm.toml", LAST_FAMILY, "", "family elbow_varus_torque has one member"),
    "screen among throws": (LOWER, 'kind = "style"', 'kind = "screen"', "a screen has kind, lane and moment"),
    "screen without how": ("screens.toml", "how_measured = ", "rate_status = ", "how it is measured"),
    "side not in key": ("screens.toml", 'side = "throwing"', 'side = "other"', "must end with its side"),
    "part that is none": ("screens.toml", '"shoulder_ir_90_throwing", "shoulder_er', '"no_such", "shoulder_er',
                          "which is no screen"),
    "part of itself": ("screens.toml", '"shoulder_ir_90_throwing", "shoulder_er',
                       '"shoulder_total_arc_throwing", "shoulder_er', "runs in a circle"),
    "parts without formula": ("screens.toml", 'formula = "sum"\n', "", "formula '' is not one of sum, difference"),
    "formula of its own": ("screens.toml", 'formula = "sum"', 'formula = "mean"', "formula 'mean' is not one of sum"),
    "formula of three": ("screens.toml", '"shoulder_ir_90_throwing", "shoulder_er_90_throwing"]',
                         '"shoulder_ir_90_throwing", "shoulder_er_90_throwing", "hip_ir_front"]', "has two parts"),
    "person with parts": ("screens.toml", 'formula = "sum"', 'formula = "person"', "has no parts"),
    "not TOML": (LOWER, "[[metric]]", "[[metric", "lower_half.toml: not readable as TOML"),
    "stray field": (LOWER, "[[metric]]", "stray = 1\n\n[[metric]]", "unknown field stray"),
    "key not in the order": ("order.toml", '  "stride_time",\n', "", "does not list each metric once: stride_time"),
    "key twice in the order": ("order.toml", '"stride_time"', '"stride_time", "stride_time"', "stands twice"),
    "order of another shape": ("order.toml", "metrics = [", "keys = [", "one list named metrics"),
    "spread column renamed": ("spreads.csv", "within_sd", "sd", "the columns must be"),
    "spread of nothing": ("spreads.csv", "stride_time,motion", "stride_tim,motion", "no metric or screen has the key"),
    "spread method": ("spreads.csv", "stride_time,video", "stride_time,radar", "method 'radar'"),
    "spread level": ("spreads.csv", "stride_offset,video,youth", "stride_offset,video,cadet", "level 'cadet'"),
    "spread twice": ("spreads.csv", "stride_time,video", "stride_time,motion_capture", "stands twice"),
    "spread by hand": ("spreads.csv", "stride_time,video", "stride_time,hands_on", "screens are hands-on"),
    "spread without view": ("spreads.csv", "stride_time,video", "separation_fp,video", "no video view"),
    "spread as words": ("spreads.csv", "stride_time,video,,0.06", "stride_time,video,,small", "0 or more is needed"),
    "spread not a number": ("spreads.csv", "stride_time,video,,0.06", "stride_time,video,,nan", "0 or more is needed"),
    "spread of zero": ("spreads.csv", "stride_time,video,,0.06", "stride_time,video,,0", "must be above 0"),
    "spread without cells": ("spreads.csv", "stride_time,video,,0.06", "stride_time,video,,0.06\n", "cells"),
    "spread without status": ("spreads.csv", '0.06,"house default, no published source"', "0.06,",
                              "within_status: text is missing"),
}  # fmt: skip


@pytest.fixture
def folder(tmp_path):
    copy = tmp_path / "data"
    shutil.copytree(DATA_FOLDER, copy)
    return copy


@pytest.mark.parametrize("case", HOSTILE)
def test_hostile_data_is_refused_with_what_is_wrong(folder, case):
    name, old, new, message = HOSTILE[case]
    text = (folder / name).read_text(encoding="utf-8")
    assert old in text
    (folder / name).write_text(text.replace(old, new, 1), encoding="utf-8")
    with pytest.raises(BadCatalogue) as caught:
        read_catalogue(folder)
    assert message in str(caught.value)
    assert "\n" not in str(caught.value)


def test_a_metric_without_its_spread_is_refused(folder):
    path = folder / "spreads.csv"
    lines = path.read_text(encoding="utf-8").splitlines(keepends=True)
    path.write_text("".join(line for line in lines if not line.startswith("stride_time,video")), encoding="utf-8")
    with pytest.raises(BadCatalogue, match="stride_time has no row for all levels by video"):
        read_catalogue(folder)


def test_a_missing_file_and_bytes_that_are_no_text_are_refused(folder):
    (folder / LOWER).write_bytes(b'[[metric]]\nkey = "\xff"\n')
    with pytest.raises(BadCatalogue, match="not UTF-8"):
        read_catalogue(folder)
    (folder / LOWER).unlink()
    with pytest.raises(BadCatalogue, match=r"lower_half\.toml: the file is missing"):
        read_catalogue(folder)


def test_an_empty_file_is_refused(folder):
    (folder / LOWER).write_text("", encoding="utf-8")
    with pytest.raises(BadCatalogue, match="holds no"):
        read_catalogue(folder)


def test_any_change_of_data_changes_the_version(folder):
    path = folder / "spreads.csv"
    path.write_text(path.read_text(encoding="utf-8").replace("0.06", "0.07", 1), encoding="utf-8")
    assert read_catalogue(folder).version != load_catalogue().version
