"""A row of the roster, written in one piece: fifty rows of fifteen template nodes each take three times as long."""

from __future__ import annotations

from functools import lru_cache

from django import template
from django.utils.html import format_html
from django.utils.safestring import SafeString, mark_safe

from desk.selectors.roster_rows import RosterRow
from metrics.templatetags.drawing import DRAWN_REMEMBERED, flag_row, session_line

register = template.Library()

ROW = """<tr><td class="choose"><label><input type="checkbox" name="athletes" value="{}" form="assign">
<span class="vh">Choose {}</span></label></td><th scope="row" class="nm"><a href="{}">{}</a></th>
<td class="age">{} <span class="soft">{}</span></td>
<td class="hand">{}</td>
<td class="last">{}</td>
<td class="marks">{}</td>
<td class="finding">{}</td>
<td class="seen-line">{}</td>
<td class="can">{}</td></tr>
"""
NOT_MEASURED, NO_FLAG, NOTHING_OFF = (
    mark_safe(f'<span class="soft">{words}</span>')  # noqa: S308 - the words stand here
    for words in ("not measured yet", "none", "nothing off")
)


@register.simple_tag
@lru_cache(DRAWN_REMEMBERED)
def roster_row(row: RosterRow) -> SafeString:
    """{% roster_row row %}: one athlete as a row of the table; a row that says what it said is not written again."""
    return format_html(
        ROW,
        row.uuid,
        row.name,
        row.address,
        row.name,
        row.age_years,
        row.level or "no level",
        row.throws,
        _last(row) if row.last_words else NOT_MEASURED,
        flag_row(row.flags) or NO_FLAG,
        row.top or (NOTHING_OFF if row.last_words else ""),
        session_line(row.sessions),
        _may(row),
    )


def _last(row: RosterRow) -> str:
    """The last session, as a link; its second writing stands on a phone, where the whole row leads to the record."""
    if not row.last_address:
        return row.last_words
    return format_html('<a href="{}">{}</a><span class="words">{}</span>', row.last_address, *[row.last_words] * 2)


def _may(row: RosterRow) -> str:
    """What the athlete may do, and why not more."""
    if row.is_stopped:
        return format_html('<span class="stop">stopped</span> {}', row.stopped_reason)
    words = row.availability or "not recorded"
    return f"{words}, {row.availability_note}" if row.availability_note else words
