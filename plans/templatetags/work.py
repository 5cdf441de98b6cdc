"""The boxes that say that work was done, written in one piece: a page has seven for each work."""

from __future__ import annotations

from django import template
from django.utils.html import format_html
from django.utils.safestring import SafeString

from plans.selectors.todays_work import Work, WorkDay

register = template.Library()

TICK = """<form method="post" action="{address}?next={back}" data-tick="{work}"{is_today}>
<input type="hidden" name="csrfmiddlewaretoken" value="{token}"><input type="hidden" name="date" value="{date}">
<button id="tick-{work}-{date}" class="{box}" name="done" value="{turned}" aria-pressed="{is_done}">{label}</button>
</form>"""


@register.simple_tag
def work_tick(work: Work, day: WorkDay, address: str, back: str, token: str) -> SafeString:
    """{% work_tick work day address back csrf_token %}: one tap marks the day, again takes it back."""
    is_today = day is work.today
    return format_html(
        TICK,
        address=address,
        back=back,
        token=token,
        work=work.uuid,
        date=day.date.isoformat(),
        is_today=" data-is-today" if is_today else "",
        box="box" if is_today else "day",
        turned="0" if day.is_done else "1",
        is_done="true" if day.is_done else "false",
        label=_label(work, day, is_today=is_today),
    )


def _label(work: Work, day: WorkDay, *, is_today: bool) -> SafeString:
    """Read aloud it names the work: there are many days of the same name."""
    if is_today:
        return format_html('<span class="vh">{}: done today</span>', work.of.name)
    return format_html('<span class="vh">{}: done on </span>{} {}', work.of.name, f"{day.date:%a}", day.date.day)
