"""What a recording's name is taken to say. The names are invented."""

from __future__ import annotations

import datetime as dt

import pytest

from metrics.importing.file_names import NameSays, read_file_name

DAY = dt.date(2026, 4, 14)


@pytest.mark.parametrize(
    ("name", "said"),
    [
        ("2026-04-14 Marrin throw 7.c3d", NameSays(DAY, 7, "Marrin")),
        ("20260414_ToveMarrin_03.c3d", NameSays(DAY, 3, "Tove Marrin")),
        ("Marrin, Tove 2026.04.14.c3d", NameSays(DAY, None, "Marrin Tove")),
        ("throw12.c3d", NameSays(None, 12, "")),
        ("2026-02-30 x1.c3d", NameSays(None, 1, "")),
        ("Trial_004.C3D", NameSays(None, 4, "")),
        ("14-04-2026 Doull.c3d", NameSays(None, None, "Doull")),
        ("c3d", NameSays(None, None, "")),
        ("", NameSays(None, None, "")),
        ("0.c3d", NameSays(None, None, "")),
        ("Ğüñther Ortíz pitch 9.c3d", NameSays(None, 9, "Ğüñther Ortíz")),
    ],
)
def test_names(name, said):
    assert read_file_name(name) == said
