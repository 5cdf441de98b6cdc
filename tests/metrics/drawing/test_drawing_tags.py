from types import SimpleNamespace

import pytest
from django.template import Context, Template

FINDING = {
    "zone": "flag", "side": "low", "sure": "likely", "probability": 0.874, "mean": -6.0, "u": 1.5, "unit": "deg",
    "target_low": 2.0, "target_high": 14.0, "flag_low": -4.0, "flag_high": 20.0, "reason": "",
}  # fmt: skip


def render(text, **context):
    return Template("{% load drawing quantities %}" + text).render(Context(context))


def finding(**changes):
    return SimpleNamespace(**{**FINDING, **changes})


def test_words_stand_beside_the_mark_with_sureness_and_chance():
    html = render("{% verdict_words f %}", f=finding())
    assert html.startswith('<span class="v flag"><svg class="mark"')
    assert "<b>flag low</b> <i>likely 87%</i>" in html


def test_watch_says_its_side_to_the_ear_and_perhaps_flag_to_all():
    html = render("{% verdict_words f %}", f=finding(zone="watch", perhaps_flag=True))
    assert 'watch<span class="vh"> low</span> <i>likely 87%, perhaps flag</i>' in html


def test_cant_tell_names_the_two_likeliest_zones():
    html = render("{% verdict_words f %}", f=finding(sure="cant_tell", other_zone="watch"))
    assert "can’t tell <i>watch or flag</i>" in html


def test_not_scored_has_dash_and_words():
    html = render("{% verdict_words f %}", f=finding(zone="not_scored", sure="", side=""))
    assert 'class="v none"' in html
    assert "not scored" in html


def test_strip_for_desk_and_phone_is_one_tag():
    html = render('{% range_strip f size="both" label="Horizontal adduction" %}', f=finding())
    assert html.count("<svg") == 2
    assert 'class="on-phone"' in html


def test_value_off_the_strip_has_its_number_beside_it():
    html = render('{% range_strip f size="report" %}', f=finding(mean=-30.0))
    assert '<b class="rs-n num">−30°</b>' in html


def test_strip_escapes_what_it_is_given():
    assert "<script" not in render("{% range_strip f label=name %}", f=finding(), name="<script>x</script>")
    assert "<script" not in render("{% range_strip f %}", f=finding(zone="not_scored", reason="<script>"))


@pytest.mark.parametrize(
    ("context", "expected"),
    [
        ({}, "1.0 in"),
        ({"unit_system": "metric"}, "2.5 cm"),
        ({"user": SimpleNamespace(units="metric")}, "2.5 cm"),
        ({"user": SimpleNamespace(units=""), "facility": SimpleNamespace(units="metric")}, "2.5 cm"),
    ],
)
def test_quantities_follow_the_page_then_the_reader_then_the_facility(context, expected):
    assert render('{% quantity 2.54 "cm" %}', **context) == expected


def test_flag_row_reads_rows_as_a_standing_keeps_them():
    assert render("{% flag_row flags %}", flags=[["separation", "low", "sure", "to_confirm"]]).count("k-flag") == 1
