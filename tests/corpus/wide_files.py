"""Wide tables as text, one row a throw: locales, encodings, delimiters, dates and line ends."""

from __future__ import annotations

from dataclasses import replace

from tests.corpus.columns import columns_named, with_headers
from tests.corpus.made import SHORT, CorpusFile, Size, expected_of, sessions_of
from tests.corpus.shapes import lead_of, pitch_label, short_label, trial_label, wide
from tests.corpus.tables import Told
from tests.corpus.texts import (
    FRENCH,
    GERMAN,
    SPANISH,
    UNICODE_TEXT,
    Typing,
    day_first,
    english_words,
    german_words,
    month_first,
    serial,
)

ROUND, SQUARE = "{name} ({unit})", "{name} [{unit}]"
DEGREES = {"deg": "°", "deg/s": "°/s"}
SPELT = {"deg": "degrees", "deg/s": "deg/sec", "N·m": "Nm"}


def wide_plain(size: Size) -> CorpusFile:
    """Every metric, English, unit in the header, ISO dates."""
    columns = with_headers(columns_named("en"), form=ROUND)
    told = Told(sessions_of(size, columns), columns)
    return CorpusFile("wide_plain.csv", Typing().file(wide(told)), expected_of(told))


def wide_german(size: Size) -> CorpusFile:
    """Semicolons, decimal commas, Windows-1252, dates with dots."""
    columns = with_headers(columns_named("de"), form=SQUARE, symbols={**DEGREES, "N·m": "Nm"})
    told = Told(sessions_of(size, columns, 2), columns)
    grid = wide(told, ("Athlet", "Datum", "Wurf"))
    return CorpusFile("wide_german.csv", GERMAN.file(grid), expected_of(told), day_first=True)


def wide_spanish(size: Size) -> CorpusFile:
    """UTF-8 with a byte-order mark, day first, a day that could be a month."""
    columns = with_headers(columns_named("es"), form=ROUND, symbols=DEGREES)
    told = Told(sessions_of(size, columns, 3), columns)
    grid = wide(told, ("Atleta", "Fecha", "Lanzamiento"))
    return CorpusFile("wide_spanish.csv", SPANISH.file(grid), expected_of(told), day_first=True)


def wide_french(size: Size) -> CorpusFile:
    """Tabs, decimal commas, a hard space between thousands, Latin-1; the second day tells the order of the dates."""
    columns = with_headers(columns_named("fr"), form=ROUND, symbols=DEGREES)
    told = Told(sessions_of(replace(size, days=2), columns, 4), columns)
    grid = wide(told, ("Athlète", "Date", "Lancer"))
    return CorpusFile("wide_french.tsv", FRENCH.file(grid), expected_of(told))


def wide_unicode_text(size: Size) -> CorpusFile:
    """What a spreadsheet calls Unicode text: UTF-16 LE with its mark, tabs; throws called T1, T2."""
    columns = with_headers(columns_named("short"), form=ROUND)
    told = Told(sessions_of(size, columns, 5), columns)
    data = UNICODE_TEXT.file(wide(told, lead=lead_of(told, short_label)))
    return CorpusFile("wide_unicode_text.txt", data, expected_of(told))


def wide_big_endian(size: Size) -> CorpusFile:
    """UTF-16 BE with its mark, German names."""
    columns = with_headers(columns_named("de", *SHORT), form=ROUND, symbols=DEGREES)
    told = Told(sessions_of(size, columns, 6), columns)
    typing = replace(GERMAN, encoding="utf-16-be", mark=b"\xfe\xff")
    grid = wide(told, ("Name", "Datum", "Wurf Nr."))
    return CorpusFile("wide_big_endian.csv", typing.file(grid), expected_of(told), day_first=True)


def wide_old_line_ends(size: Size) -> CorpusFile:
    """Carriage returns alone between lines; throws called Pitch 01."""
    columns = with_headers(columns_named("en", *SHORT), form=ROUND)
    told = Told(sessions_of(size, columns, 7), columns)
    grid = wide(told, lead=lead_of(told, pitch_label))
    return CorpusFile("wide_old_line_ends.csv", Typing(line_end="\r").file(grid), expected_of(told))


def wide_pipes(size: Size) -> CorpusFile:
    """Pipes, month first, miles per hour and inches; the second day tells the order of the dates."""
    units = {"ball_speed": "mph", "stride_length": "in", "fc_br_time": "ms"}
    columns = with_headers(columns_named("en", "stride_length", *SHORT, "fc_br_time", units=units), form=ROUND)
    told = Told(sessions_of(replace(size, days=2), columns, 8), columns)
    typing = Typing(delimiter="|", dates=month_first, line_end="\n")
    return CorpusFile("wide_pipes.txt", typing.file(wide(told, ("Player", "Date", "Pitch #"))), expected_of(told))


def wide_snake(size: Size) -> CorpusFile:
    """Headers as a program writes them, unit as a suffix; athletes by code; trials called trial_01."""
    suffix = {"deg/s": "deg_s", "m/s": "mps", "N·m": "nm", "N": "n"}
    columns = with_headers(columns_named("snake", *SHORT), form="{name}_{unit}", symbols=suffix)
    told = Told(sessions_of(size, columns, 9), columns, by_code=True)
    grid = wide(told, ("athlete_id", "session_date", "trial"), lead_of(told, trial_label))
    return CorpusFile("wide_snake.csv", Typing(line_end="\n").file(grid), expected_of(told))


def wide_month_first_asked(size: Size) -> CorpusFile:
    """One day that could be read either way, so that only the coach knows."""
    columns = with_headers(columns_named("en", *SHORT), form=ROUND, symbols=SPELT)
    told = Told(sessions_of(size, columns, 10), columns)
    data = Typing(dates=month_first).file(wide(told))
    return CorpusFile("wide_month_first_asked.csv", data, expected_of(told), day_first=False)


def wide_day_first_asked(size: Size) -> CorpusFile:
    """The same the other way round."""
    columns = with_headers(columns_named("short", *SHORT), form=SQUARE)
    told = Told(sessions_of(size, columns, 11), columns)
    data = Typing(dates=day_first).file(wide(told))
    return CorpusFile("wide_day_first_asked.csv", data, expected_of(told), day_first=True)


def wide_dates_in_words(size: Size) -> CorpusFile:
    """12 March 2026."""
    columns = with_headers(columns_named("en", *SHORT), form=ROUND)
    told = Told(sessions_of(size, columns, 12), columns)
    return CorpusFile("wide_dates_in_words.csv", Typing(dates=english_words).file(wide(told)), expected_of(told))


def wide_german_month_names(size: Size) -> CorpusFile:
    """12. März 2026."""
    columns = with_headers(columns_named("de", *SHORT), form=SQUARE, symbols=DEGREES)
    told = Told(sessions_of(size, columns, 13), columns)
    typing = replace(GERMAN, dates=german_words, encoding="utf-8")
    grid = wide(told, ("Sportler", "Datum", "Versuch"))
    return CorpusFile("wide_german_month_names.csv", typing.file(grid), expected_of(told))


def wide_serial_dates(size: Size) -> CorpusFile:
    """Days as the number that a spreadsheet counts them by: 46093."""
    columns = with_headers(columns_named("en", *SHORT), form=ROUND)
    told = Told(sessions_of(size, columns, 14), columns)
    return CorpusFile("wide_serial_dates.csv", Typing(dates=serial).file(wide(told)), expected_of(told))


WIDE_MAKERS = (
    wide_plain,
    wide_german,
    wide_spanish,
    wide_french,
    wide_unicode_text,
    wide_big_endian,
    wide_old_line_ends,
    wide_pipes,
    wide_snake,
    wide_month_first_asked,
    wide_day_first_asked,
    wide_dates_in_words,
    wide_german_month_names,
    wide_serial_dates,
)
