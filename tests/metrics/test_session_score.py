"""The session score: shown to staff, only where the facility asks for it."""

import pytest

from metrics.models import Scoring
from metrics.services.scoring import rescore
from tests.metrics.test_rescoring import captured, version  # noqa: F401 - the fixture

pytestmark = pytest.mark.django_db


@pytest.fixture
def page_of(version, athlete, coach, client_of, facility):  # noqa: F811
    capture = captured(athlete, [90, 91, 92, 93, 94])
    rescore(capture)

    def read(**settings: bool) -> str:
        type(facility).objects.update(**settings)
        return client_of(coach).get(f"/sessions/{capture.uuid}/").content.decode()

    return read


def test_it_is_off_by_default(page_of):
    assert Scoring.objects.get().score is not None
    assert "average of the source" not in page_of()


def test_it_is_shown_with_its_uncertainty_where_the_facility_wants_it(page_of):
    scoring = Scoring.objects.get()
    assert f"Score {scoring.score:.0f} ± {1.96 * scoring.score_sd:.0f} of 100" in page_of(shows_session_score=True)
