"""A query that is put into SQL once gives what the library gives that puts it into SQL each time."""

from __future__ import annotations

import datetime as dt
import threading
from uuid import UUID

import pytest
from django.db import connection, connections
from django.db.models import BooleanField, ExpressionWrapper, Min, Q, QuerySet
from django.db.models.functions import TruncMonth
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from athletes.models import Athlete, User
from athletes.worded import FIRST_PLACE, LEAST_ROOM, Keys, worded_once
from metrics.models import Standing
from tests import factories
from tests.desk.people import measured
from tests.factories import DAY

pytestmark = pytest.mark.django_db

WORDED: list[tuple] = []


@pytest.fixture(autouse=True)
def _nothing_worded():
    WORDED.clear()


def seen(user: User, born_after: dt.date) -> QuerySet:
    WORDED.append((user.pk, user.role))
    found = Athlete.objects.visible_to(user).filter(birth_date__gt=born_after).order_by("pk")
    return found.values_list("uuid", "birth_date", "created_at", "standing__flags", "standing__top_priority")


def of_keys(user: User, keys: Keys) -> QuerySet:
    WORDED.append((keys.room,))
    return Athlete.objects.visible_to(user).filter(pk__in=keys.places).order_by("pk").values_list("pk", flat=False)


def test_rows_are_those_of_the_queryset_with_every_kind_of_value(coach):
    measured("Joon Barreto", flags=2, priority=3.5)
    factories.AthleteFactory()  # never measured: no standing
    rows = worded_once(seen)(coach, dt.date.min)
    assert rows == list(seen(coach, dt.date.min))
    assert len(rows) == 2
    assert rows[0][3] == Standing.objects.get().flags


def both_times(day: dt.date) -> QuerySet:
    """Dates, instants, UUIDs and whether, of columns and of expressions, some of them nothing."""
    is_of_age = ExpressionWrapper(Q(birth_date__lte=day), output_field=BooleanField())
    found = Athlete.objects.annotate(
        is_of_age=is_of_age, month=TruncMonth("birth_date"), first=Min("capture_sessions__date")
    )
    fields = ("uuid", "birth_date", "consent_withdrawn_on", "created_at", "withdrawn_at", "is_of_age", "month", "first")
    return found.order_by("pk").values_list(*fields)


def test_values_that_were_read_before_are_the_same_as_at_first(coach):
    measured("Joon Barreto")
    factories.AthleteFactory(consent_withdrawn_on=DAY)
    ask = worded_once(both_times)
    first, again = ask(DAY), ask(DAY)
    assert first == again == list(both_times(DAY))
    assert [type(value) for value in first[0]] == [type(value) for value in both_times(DAY)[0]]


def test_what_can_be_changed_is_made_anew_for_each_look(coach):
    measured("Joon Barreto", flags=2, priority=3.5)
    ask = worded_once(seen)
    ask(coach, dt.date.min)[0][3].clear()
    assert ask(coach, dt.date.min)[0][3] == Standing.objects.get().flags


def test_equal_arguments_are_worded_once_and_asked_anew(coach):
    ask = worded_once(seen)
    assert ask(coach, DAY) == []
    younger = factories.AthleteFactory(birth_date=DAY + dt.timedelta(days=1))
    same_person = User.objects.get(pk=coach.pk)
    with CaptureQueriesContext(connection) as queries:
        assert [uuid for uuid, *_ in ask(same_person, DAY)] == [younger.uuid]
    assert (len(queries), len(WORDED)) == (1, 1)
    ask(coach, DAY + dt.timedelta(days=1))
    assert len(WORDED) == 2


@pytest.mark.parametrize("change", [{"role": "guardian"}, {"is_active": False}])
def test_whose_role_ends_sees_nothing_at_the_next_look(change, coach):
    factories.AthleteFactory()
    ask = worded_once(seen)
    assert len(ask(coach, dt.date.min)) == 1
    for name, value in change.items():
        setattr(coach, name, value)
    assert ask(coach, dt.date.min) == []


def test_another_reader_is_not_given_the_first_ones_rows(cast, coach):
    ask = worded_once(seen)
    everyone = ask(coach, dt.date.min)
    assert {uuid for uuid, *_ in ask(cast["athlete_user"], dt.date.min)} == {cast.athlete.uuid}
    assert ask(cast["admin"], dt.date.min) == everyone
    assert ask(cast["clinician"], dt.date.min) == list(seen(cast["clinician"], dt.date.min))


def test_readers_of_one_role_share_the_words_and_each_finds_their_own(cast):
    ask = worded_once(seen)
    other = factories.AthleteFactory(account=factories.UserFactory(role="athlete"))
    for athlete in (cast.athlete, other):
        assert [uuid for uuid, *_ in ask(athlete.account, dt.date.min)] == [athlete.uuid]
    assert len(WORDED) == 1


def test_guardian_stops_reading_on_the_day_the_child_is_of_age(cast, monkeypatch):
    """The day is in the words; they are not asked again on the next."""
    ask, birthday = worded_once(seen), cast.athlete.birth_date.replace(year=cast.athlete.birth_date.year + 18)
    monkeypatch.setattr(timezone, "localdate", lambda *_: birthday - dt.timedelta(days=1))
    assert [uuid for uuid, *_ in ask(cast["guardian"], dt.date.min)] == [cast.athlete.uuid]
    monkeypatch.setattr(timezone, "localdate", lambda *_: birthday)
    assert ask(cast["guardian"], dt.date.min) == []


def test_query_that_asks_more_of_the_reader_is_refused(coach):
    """Its words would be the first reader's, and serve everybody of the role."""
    ask = worded_once(lambda user: Athlete.objects.filter(given_name=user.first_name))
    with pytest.raises(User.DoesNotExist):
        ask(coach)


def test_rows_may_be_of_the_model_with_its_relations(coach):
    given = factories.AthleteFactory(responsible_coach=coach)
    factories.AthleteFactory(responsible_coach=None)
    ask = worded_once(lambda user: Athlete.objects.visible_to(user).select_related("responsible_coach").order_by("pk"))
    ask(coach)
    with CaptureQueriesContext(connection) as queries:
        found = ask(coach)
        assert [one.responsible_coach for one in found] == [coach, None]
    assert (found[0], len(queries)) == (given, 1)
    assert ask(coach)[0] is not found[0]  # each look has rows of its own


@pytest.mark.parametrize("count", [0, 1, LEAST_ROOM, LEAST_ROOM + 1, 50])
def test_any_number_of_keys_finds_exactly_them(count, coach):
    made = factories.AthleteFactory.create_batch(52, level="", body_size={}, consent=False)
    keys = [athlete.pk for athlete in made[:count]]
    assert worded_once(of_keys)(coach, Keys.of(keys)) == [(key,) for key in keys]


def test_keys_are_not_remembered_only_their_room(coach):
    first, second = factories.AthleteFactory(), factories.AthleteFactory()
    ask = worded_once(of_keys)
    assert ask(coach, Keys.of([first.pk])) == [(first.pk,)]
    assert ask(coach, Keys.of([second.pk])) == [(second.pk,)]
    assert WORDED == [(1,)]


@pytest.mark.parametrize("count", [1, 3])
def test_keys_may_be_uuids(count, coach):
    made = factories.AthleteFactory.create_batch(4, level="", body_size={}, consent=False)
    ask = worded_once(lambda user, keys: Athlete.objects.visible_to(user).filter(uuid__in=keys.places).order_by("pk"))
    assert ask(coach, Keys.of(one.uuid for one in made[:count])) == made[:count]
    assert ask(coach, Keys.of(one.uuid for one in made[-count:])) == made[-count:]


def test_a_place_is_no_key_of_a_row():
    keys = Keys.of(range(1, 100))
    assert (keys.room, len(set(keys.places))) == (128, 128)
    assert max(keys.places) < FIRST_PLACE < 0
    assert {key for key in keys.filled.values() if key > 0} == {*range(1, 100)}
    assert [UUID(int=1)] == list(Keys.of([UUID(int=1)]).filled.values())


@pytest.mark.django_db(transaction=True)
def test_each_thread_asks_through_its_own_connection(coach):
    factories.AthleteFactory()
    ask, found = worded_once(seen), []
    ask(coach, dt.date.min)

    def elsewhere() -> None:
        found.extend(ask(coach, dt.date.min))
        connections.close_all()

    thread = threading.Thread(target=elsewhere)
    thread.start()
    thread.join()
    assert (len(found), len(WORDED)) == (1, 1)
