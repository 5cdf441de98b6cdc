"""Lines of Today: one that says what it said at the last look is not written again, as a row of the roster is not."""

from __future__ import annotations

import datetime as dt
from functools import lru_cache

from django import template
from django.template.loader import render_to_string
from django.utils.safestring import SafeString

from desk.selectors.here import PersonHere
from desk.selectors.need import Need
from desk.selectors.sessions import SessionLine
from metrics.templatetags.drawing import DRAWN_REMEMBERED

register = template.Library()


@register.simple_tag
@lru_cache(DRAWN_REMEMBERED)
def need_line(need: Need) -> SafeString:
    """{% need_line need %}: what needs the coach, with its reason and next step."""
    return render_to_string("desk/_need.html", {"need": need})


@register.simple_tag
@lru_cache(DRAWN_REMEMBERED)
def person_here(person: PersonHere, may_measure: bool) -> SafeString:
    """{% person_here person may_measure %}: who is here, with what comes next."""
    return render_to_string("desk/_person_here.html", {"person": person, "may_measure": may_measure})


@register.simple_tag
@lru_cache(DRAWN_REMEMBERED)
def session_of(line: SessionLine, today: dt.date) -> SafeString:
    """{% session_of line today %}: an athlete's session among those of several."""
    return render_to_string("desk/_session.html", {"line": line, "today": today})
