"""Wide tables as people leave them: units elsewhere, preambles, summaries, gaps, sentinels, other signs."""

from __future__ import annotations

from dataclasses import replace

from tests.corpus.columns import Column, columns_named, with_headers
from tests.corpus.made import SHORT, CorpusFile, Size, expected_of, sessions_of
from tests.corpus.people import PEOPLE
from tests.corpus.shapes import lead_of, short_label, two_row_header, wide, with_summary_rows
from tests.corpus.tables import Grid, Place, Told, Value
from tests.corpus.texts import GERMAN, Typing

ROUND = "{name} ({unit})"
MISSING_WORDS = ("NA", "N/A", "-", "–", "#DIV/0!", None, "nan", "null")
SENTINELS = ("9999", "-9999", "999.99")


def gaps_of(words: tuple[Value, ...], metrics: tuple[str, ...], throws: int) -> dict[Place, Value]:
    """One of the words in turn in every second throw, each time under another metric."""
    places = [(person.name, n, metrics[(at + n) % len(metrics)]) for at, person in enumerate(PEOPLE)
              for n in range(1, throws + 1, 2)]  # fmt: skip
    return {place: words[at % len(words)] for at, place in enumerate(places)}


def units_row(told: Told, grid: Grid, *, below: bool, lead: int = 3) -> Grid:
    """A row of units under or above the names."""
    row: list[Value] = [*[None] * lead, *(column.unit for column in told.columns)]
    return [grid[0], row, *grid[1:]] if below else [row, *grid]


def units_row_below(size: Size) -> CorpusFile:
    columns = columns_named("en", "stride_length", *SHORT)
    told = Told(sessions_of(size, columns, 21), columns)
    data = Typing().file(units_row(told, wide(told), below=True))
    return CorpusFile("units_row_below.csv", data, expected_of(told))


def units_row_above(size: Size) -> CorpusFile:
    columns = columns_named("en", *SHORT, units={"ball_speed": "mph"})
    told = Told(sessions_of(size, columns, 22), columns)
    data = Typing(delimiter="\t").file(units_row(told, wide(told), below=False))
    return CorpusFile("units_row_above.tsv", data, expected_of(told))


def units_in_cells(size: Size) -> CorpusFile:
    """88.0 deg, 82.4 mph, 1065.3 deg/s, written in every cell."""
    columns = columns_named("en", *SHORT, units={"ball_speed": "mph"})
    told = Told(sessions_of(size, columns, 23), columns)
    lead = lead_of(told)
    rows = [
        [*lead(session, throw), *(f"{told.cell(session, throw, column)} {column.unit}" for column in columns)]
        for session, throw in told.throws()
    ]
    return CorpusFile("units_in_cells.csv", Typing().file([wide(told)[0], *rows]), expected_of(told))


def units_nowhere(size: Size) -> CorpusFile:
    """No unit anywhere; the ball in miles per hour, times in milliseconds, as the numbers' size tells."""
    units = {"ball_speed": "mph", "fc_br_time": "ms"}
    columns = columns_named("en", *SHORT, "fc_br_time", units=units)
    told = Told(sessions_of(size, columns, 24), columns)
    known = {column.metric: column.unit for column in columns}
    return CorpusFile("units_nowhere.csv", Typing().file(wide(told)), expected_of(told), units=known)


def radians_nowhere(size: Size) -> CorpusFile:
    """A research script's table: angles in radians, rates in radians a second, nothing says so."""
    turned = {"deg": "rad", "deg/s": "rad/s"}
    plain = columns_named("snake", *SHORT)
    columns = [replace(column, unit=turned.get(column.unit, column.unit)) for column in plain]
    told = Told(sessions_of(size, columns, 25), columns, by_code=True)
    grid = wide(told, ("subject", "date", "trial"))
    known = {column.metric: column.unit for column in columns}
    return CorpusFile("radians_nowhere.csv", Typing(line_end="\n").file(grid), expected_of(told), units=known)


def preamble(size: Size) -> CorpusFile:
    """Lines that say where the table comes from, one with a number, one empty, above the names."""
    columns = with_headers(columns_named("en", *SHORT), form=ROUND)
    told = Told(sessions_of(size, columns, 26), columns)
    above: Grid = [
        ["Throwing analysis export"],
        ["Room", "Hall 2"],
        ["Cameras", "12", "Rate", "400 Hz"],
        ["Filter", "4th order Butterworth, 14 Hz"],
        [],
    ]
    return CorpusFile("preamble.csv", Typing().file(above + wide(told)), expected_of(told))


def summary_rows(size: Size) -> CorpusFile:
    """Mean, SD, CV, Min and Max after each athlete's throws."""
    columns = with_headers(columns_named("en", *SHORT), form=ROUND)
    told = Told(sessions_of(size, columns, 27), columns)
    grid = with_summary_rows(told, wide(told, lead=lead_of(told, short_label)))
    return CorpusFile("summary_rows.csv", Typing().file(grid), expected_of(told))


def summary_rows_german(size: Size) -> CorpusFile:
    """Mittelwert and SD, an empty row after each athlete."""
    columns = with_headers(columns_named("de", *SHORT), form="{name} [{unit}]", symbols={"deg": "°", "deg/s": "°/s"})
    told = Told(sessions_of(size, columns, 28), columns)
    grid = with_summary_rows(told, wide(told, ("Athlet", "Datum", "Wurf")), ("Mittelwert", "SD"))
    spaced = [line for row in grid for line in ([row, []] if row[2] == "SD" else [row])]
    return CorpusFile("summary_rows_german.csv", GERMAN.file(spaced), expected_of(told), day_first=True)


def missing_words(size: Size) -> CorpusFile:
    """All ways of writing that nothing was measured, in Windows-1252, where the long dash has a byte of its own."""
    columns = with_headers(columns_named("en"), form=ROUND)
    metrics = tuple(column.metric for column in columns)
    told = Told(sessions_of(size, columns, 29), columns, gaps_of(MISSING_WORDS, metrics, size.throws))
    return CorpusFile("missing_words.csv", Typing(encoding="cp1252").file(wide(told)), expected_of(told))


def sentinels(size: Size) -> CorpusFile:
    columns = with_headers(columns_named("en", *SHORT), form=ROUND)
    told = Told(sessions_of(size, columns, 30), columns, gaps_of(SENTINELS, SHORT, size.throws))
    return CorpusFile("sentinels.csv", Typing().file(wide(told)), expected_of(told))


def thousands_and_percent(size: Size) -> CorpusFile:
    """1,065.3 in quotes, and a percent sign after numbers that are percents."""
    metrics = ("trunk_velocity_max", "shoulder_internal_rotation_velocity_max", "pelvis_velocity_max_time",
               "lead_force_max", "shoulder_distraction_force_max")  # fmt: skip
    columns = with_headers(columns_named("en", *metrics), form=ROUND)
    told = Told(sessions_of(size, columns, 31), columns)
    typing, lead = Typing(thousands=","), lead_of(told)
    rows = [
        [
            *lead(session, throw),
            *(
                f"{value}%" if "%" in column.unit else value
                for column, value in zip(columns, told.row(session, throw), strict=True)
            ),
        ]
        for session, throw in told.throws()
    ]
    return CorpusFile("thousands_and_percent.csv", typing.file([wide(told)[0], *rows]), expected_of(told))


def other_signs(size: Size) -> CorpusFile:
    """Named by the opposite direction, by the angle inside the joint, and with open positive where we keep closed."""
    columns = (
        Column("shoulder_horizontal_abduction_fp", "Shoulder horizontal adduction at foot plant (deg)", "deg",
               sign="turned"),
        Column("elbow_flexion_fp", "Elbow inner angle at foot plant (deg)", "deg", sign="inner"),
        Column("lead_knee_flexion_br", "Lead knee inner angle at ball release (deg)", "deg", sign="inner"),
        Column("pelvis_rotation_fp", "Pelvis rotation at foot plant, open positive (deg)", "deg", sign="turned"),
        Column("ball_speed", "Ball speed (km/h)", "km/h"),
    )  # fmt: skip
    told = Told(sessions_of(size, columns, 32), columns)
    signs = {column.metric: column.sign for column in columns if column.sign != "kept"}
    return CorpusFile("other_signs.csv", Typing().file(wide(told)), expected_of(told), signs=signs)


def events_above_metrics(size: Size) -> CorpusFile:
    """Two rows of names, the event over the first of its metrics only."""
    columns = columns_named("en")
    told = Told(sessions_of(size, columns, 33), columns)
    known = {column.metric: column.unit for column in columns}
    return CorpusFile("events_above_metrics.csv", Typing().file(two_row_header(told)), expected_of(told), units=known)


def events_above_metrics_repeated(size: Size) -> CorpusFile:
    """Two rows of names, the event over every metric, semicolons."""
    columns = columns_named("en", *SHORT)
    told = Told(sessions_of(size, columns, 34), columns)
    data = Typing(delimiter=";").file(two_row_header(told, repeat=True))
    known = {column.metric: column.unit for column in columns}
    return CorpusFile("events_above_metrics_repeated.csv", data, expected_of(told), units=known)


UNTIDY_MAKERS = (
    units_row_below,
    units_row_above,
    units_in_cells,
    units_nowhere,
    radians_nowhere,
    preamble,
    summary_rows,
    summary_rows_german,
    missing_words,
    sentinels,
    thousands_and_percent,
    other_signs,
    events_above_metrics,
    events_above_metrics_repeated,
)
