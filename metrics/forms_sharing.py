"""What a coach chose and wrote on the page of sharing."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from typing import Any

from django import forms
from django.http import QueryDict

from athletes.forms import DayField, ServiceForm
from metrics.selectors.sharing import Offer, Offered
from metrics.sharing import SharedPoint

HEADLINE, SENTENCE = 90, 300
"""Characters; what is longer is refused, never cut."""


@dataclass(frozen=True, slots=True)
class PointField:
    """One offered point on the page: chosen or not, and its words as they were typed."""

    offered: Offered
    name: str
    is_chosen: bool
    headline: str
    sentence: str

    @property
    def key(self) -> str:
        return self.offered.key

    @property
    def point(self) -> SharedPoint:
        return self.offered.point


class ShareForm(ServiceForm):
    """`work` and `better` hold the points of the offer; `chosen(…)` gives them in the words of the coach."""

    summary = forms.CharField(
        required=False,
        max_length=2000,
        label="In your own words",
        widget=forms.Textarea(attrs={"rows": 4}),
    )
    look_again_on = DayField(required=False, label="Next time we look")
    with_numbers = forms.BooleanField(required=False, label="Tell the numbers too")

    def __init__(self, posted: QueryDict | None, *, offer: Offer, preselected: int = 2) -> None:
        self.posted = posted
        super().__init__(posted, initial={"summary": offer.summary, "with_numbers": True})
        self.offer = offer
        self.work = [*self._fields("work", offer.work, preselected)]
        self.better = [*self._fields("better", offer.better, 1)]

    def _fields(self, name: str, offered: tuple[Offered, ...], preselected: int) -> Iterator[PointField]:
        data = self.posted
        for place, one in enumerate(offered):
            if data is None:
                yield PointField(one, name, place < preselected, one.point.headline, one.point.sentence)
                continue
            yield PointField(
                one,
                name,
                one.key in data.getlist(name),
                data.get(f"headline-{one.key}", one.point.headline).strip(),
                data.get(f"sentence-{one.key}", one.point.sentence).strip(),
            )

    def clean(self) -> dict[str, Any]:
        for field in (*self.work, *self.better):
            if field.is_chosen and not field.headline:
                self.add_error(None, f"“{field.point.headline}” has no words left. Write them, or take its tick away.")
            if len(field.headline) > HEADLINE or len(field.sentence) > SENTENCE:
                most = f"{HEADLINE} characters for the headline, {SENTENCE} under it"
                self.add_error(None, f"“{field.headline[:40]}…” is too long: {most}.")
        return self.cleaned_data

    def chosen(self, fields: list[PointField]) -> tuple[SharedPoint, ...]:
        return tuple(self._told(field) for field in fields if field.is_chosen)

    def hand_to(self, service: Callable[..., Any], **given: Any) -> bool:
        self.cleaned_data.pop("with_numbers", None)
        return super().hand_to(service, **given)

    def _told(self, field: PointField) -> SharedPoint:
        told = replace(field.point, headline=field.headline, sentence=field.sentence)
        with_numbers = self.cleaned_data.get("with_numbers") if self.is_bound else True
        return told if with_numbers else replace(told, value_words="", good_words="")
