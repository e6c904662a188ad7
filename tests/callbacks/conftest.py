from datetime import timedelta
from zoneinfo import ZoneInfo

import pytest
from django.utils import timezone


def now_at_the_shop():
    """Now in the time zone of a shop that nobody has set up, which is the one that its pages are in."""
    from shop.models import ShopSettings

    return timezone.localtime(timezone=ZoneInfo(ShopSettings().time_zone))


@pytest.fixture
def today():
    return now_at_the_shop().date()


@pytest.fixture
def punch_listed(job):
    """`job` at its punch list, with no phase and no item in the way."""
    from jobs.actions import move_job
    from jobs.models import Stage

    for stage in (Stage.PRICING, Stage.PROPOSED, Stage.WORKING, Stage.PUNCH_LIST):
        move_job(job=job, to=stage, by=None)
    return job


@pytest.fixture
def closed_job(punch_listed, owner):
    from callbacks.actions import close_out_job

    close_out_job(job=punch_listed, walked_with="Odalys Brandt", by=owner)
    punch_listed.refresh_from_db()
    return punch_listed


@pytest.fixture
def log(closed_job, office, today):
    """Logs a callback on the closed job; what is given changes it."""
    from callbacks.actions import log_callback

    def log(**changes):
        return log_callback(
            **{
                "job": closed_job,
                "symptom": "leak",
                "text": "The ceiling below is wet since Sunday.",
                "reported_by": "Odalys Brandt",
                "reported_on": today,
                "by": office,
            }
            | changes
        )

    return log


@pytest.fixture
def callback(log):
    return log()


@pytest.fixture
def tomorrow():
    """Tomorrow at nine."""
    return now_at_the_shop().replace(hour=9, minute=0, second=0, microsecond=0) + timedelta(days=1)
