"""Files, capture sessions, throws."""

from __future__ import annotations

from hashlib import sha256

import factory
from factory.django import DjangoModelFactory

from sessions import models as captures
from tests.factories.days import DAY, NOON
from tests.factories.people import AthleteFactory, UserFactory


class OriginalFileFactory(DjangoModelFactory):
    """The row only; no bytes are written."""

    class Meta:
        model = captures.OriginalFile

    sha256 = factory.Sequence(lambda n: sha256(f"original {n}".encode()).hexdigest())
    size = 2048


class UploadFactory(DjangoModelFactory):
    class Meta:
        model = captures.Upload

    original = factory.SubFactory(OriginalFileFactory)
    filename = factory.Sequence(lambda n: f"capture-{n}.csv")
    uploaded_by = factory.SubFactory(UserFactory)
    uploaded_at = NOON
    state = "received"


class CaptureSessionFactory(DjangoModelFactory):
    """A closed motion-capture session of the day, without throws: `ThrowFactory.create_batch(8, session=…)`."""

    class Meta:
        model = captures.CaptureSession

    athlete = factory.SubFactory(AthleteFactory)
    date = DAY
    ordinal = factory.LazyAttribute(
        lambda row: (
            captures.CaptureSession.everything.filter(athlete=row.athlete, date=row.date, method=row.method).count() + 1
        )
    )
    method = "motion_capture"
    setup = "room 1"
    throwing_side = "right"
    landing = "fc"
    filter_knowledge = "none"


class ThrowFactory(DjangoModelFactory):
    class Meta:
        model = captures.Throw

    session = factory.SubFactory(CaptureSessionFactory)
    number = factory.LazyAttribute(lambda row: captures.Throw.everything.filter(session=row.session).count() + 1)
    ball_speed_m_s = 36.0
