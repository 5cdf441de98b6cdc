"""The ordinary day of the tests."""

import datetime as dt

DAY = dt.date(2026, 4, 14)
NOON = dt.datetime(2026, 4, 14, 17, 0, tzinfo=dt.UTC)
LONG_AGO = dt.date(2020, 1, 1)
