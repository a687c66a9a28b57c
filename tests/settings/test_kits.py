import math

import pytest

from convert.errors import SizeError
from convert.settings.kits import MOST_STUDENTS, ClassSettings, PriceSettings
from convert.settings.output import BookletSettings
from convert.settings.weave import PaceSettings


@pytest.mark.parametrize("students", [0, -1, MOST_STUDENTS + 1, 10_000])
def test_students_that_are_no_class(students):
    with pytest.raises(SizeError, match=f"students are 1 to 1,000, not {students:,}"):
        ClassSettings(students=students)


@pytest.mark.parametrize(("students", "bags"), [(None, 1), (1, 1), (MOST_STUDENTS, MOST_STUDENTS)])
def test_bags(students, bags):
    assert ClassSettings(students=students).bags == bags


@pytest.mark.parametrize("labour", [-0.01, 1_000_001, math.inf, math.nan])
def test_labour_that_cannot_be(labour):
    with pytest.raises(SizeError, match="--labour is from 0 to 1,000,000"):
        PriceSettings(labour=labour)


@pytest.mark.parametrize("margin", [-0.01, 0.96, 1, 30, math.nan])
def test_margin_that_cannot_be(margin):
    with pytest.raises(SizeError, match=r"--margin is from 0 to 0\.95"):
        PriceSettings(margin=margin)


def test_a_price_wants_kits():
    for priced in (BookletSettings(labour=1), BookletSettings(margin=0.95)):
        with pytest.raises(SizeError, match="make the price of a kit"):
            priced.check_class(None)
        priced.check_class(1)
    BookletSettings().check_class(None)


@pytest.mark.parametrize("pace", [0, -1, math.inf, math.nan])
def test_nobody_weaves_so(pace):
    with pytest.raises(SizeError, match="beads in an hour must be more than 0"):
        PaceSettings(beads_per_hour=pace)
