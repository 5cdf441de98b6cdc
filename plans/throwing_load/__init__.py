"""Throwing load: pitches a day against the published youth limits and rest, as guidance beside local rules. Pure."""

from plans.throwing_load.bars import Column, bars_svg, day_columns, week_columns
from plans.throwing_load.guideline import BadGuideline, Band, Chart, Guideline, Row, load_guideline, read_guidelines
from plans.throwing_load.rest import Asked, Opening, State, asked_by, opening_on
from plans.throwing_load.summary import Point, Span, months, rolling, span_of, weeks
from plans.throwing_load.values import MOST_PITCHES, BadCount, Count, Day, Source, days_between, days_of_outing
from plans.throwing_load.words import (
    LoadWords,
    basis_sentence,
    day_name,
    load_words,
    main_sentence,
    span_sentence,
    year_reminders,
    year_sentences,
)
from plans.throwing_load.year import Off, TimeOff, innings_limit, time_off

__all__ = [
    "MOST_PITCHES",
    "Asked",
    "BadCount",
    "BadGuideline",
    "Band",
    "Chart",
    "Column",
    "Count",
    "Day",
    "Guideline",
    "LoadWords",
    "Off",
    "Opening",
    "Point",
    "Row",
    "Source",
    "Span",
    "State",
    "TimeOff",
    "asked_by",
    "bars_svg",
    "basis_sentence",
    "day_columns",
    "day_name",
    "days_between",
    "days_of_outing",
    "innings_limit",
    "load_guideline",
    "load_words",
    "main_sentence",
    "months",
    "opening_on",
    "read_guidelines",
    "rolling",
    "span_of",
    "span_sentence",
    "time_off",
    "week_columns",
    "weeks",
    "year_reminders",
    "year_sentences",
]
