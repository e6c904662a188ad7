"""From where to where a job may move."""

import itertools

import pytest
from django.db import IntegrityError, connection, transaction
from django.urls import reverse

from jobs.actions import WrongStage, move_job
from jobs.models import Job, Stage
from tests.factories import JobFactory
from tests.jobs.moving import bring

pytestmark = pytest.mark.django_db

# Written out here, apart from the table that the action and the trigger are made from.
ALLOWED = {
    ("measuring", "pricing"),
    ("measuring", "lost"),
    ("pricing", "measuring"),
    ("pricing", "proposed"),
    ("pricing", "lost"),
    ("proposed", "pricing"),
    ("proposed", "working"),
    ("proposed", "lost"),
    ("working", "punch_list"),
    ("punch_list", "working"),
    ("punch_list", "closed"),
    ("lost", "measuring"),
}
PAIRS = [pair for pair in itertools.product(Stage.values, Stage.values) if pair[0] != pair[1]]


@pytest.mark.parametrize(("start", "end"), PAIRS)
def test_only_the_moves_of_the_chain_are_made_by_action_or_by_sql(start, end, owner):
    by_action, by_sql = (bring(JobFactory(), Stage(start), owner) for _ in range(2))
    if (start, end) in ALLOWED:
        assert move_job(job=by_action, to=Stage(end), by=owner).stage == end
        with connection.cursor() as cursor:
            cursor.execute("UPDATE jobs_job SET stage = %s WHERE id = %s", [end, by_sql.pk])
        by_sql.refresh_from_db()
        assert by_sql.stage == end
    else:
        with pytest.raises(WrongStage):
            move_job(job=by_action, to=Stage(end), by=owner)
        with pytest.raises(IntegrityError), transaction.atomic(), connection.cursor() as cursor:
            cursor.execute("UPDATE jobs_job SET stage = %s WHERE id = %s", [end, by_sql.pk])
        assert {Job.objects.get(pk=job.pk).stage for job in (by_action, by_sql)} == {start}


@pytest.mark.parametrize("stage", [stage for stage in Stage if stage != Stage.MEASURING])
def test_no_job_is_born_further_on(stage, job):
    with pytest.raises(IntegrityError), transaction.atomic():
        Job.objects.create(client=job.client, site=job.site, title="Bath", stage=stage)


def test_moving_to_where_it_stands_changes_nothing(job, owner):
    bring(job, Stage.PRICING, owner)
    since, events = job.stage_since, job.events.count()
    move_job(job=job, to=Stage.PRICING, by=owner)
    job.refresh_from_db()
    assert (job.stage, job.stage_since, job.events.count()) == (Stage.PRICING, since, events)


def test_a_stale_page_decides_by_where_the_job_stands_now(job, owner):
    stale = Job.objects.get(pk=job.pk)
    bring(job, Stage.WORKING, owner)
    with pytest.raises(WrongStage, match="Work"):
        move_job(job=stale, to=Stage.LOST, by=owner)


def test_the_history_keeps_each_stage_and_who_moved_it(job, owner, office):
    move_job(job=job, to=Stage.PRICING, by=office)
    move_job(job=job, to=Stage.LOST, by=owner)
    events = job.events.order_by("pgh_id")[1:]
    assert [(event.stage, event.pgh_context.metadata["user"]) for event in events] == [
        ("pricing", str(office.pk)),
        ("lost", str(owner.pk)),
    ]


def test_a_job_that_was_not_taken_is_marked_and_taken_up_again(as_office, job):
    page = reverse("jobs:move", args=[job.pk])
    for button, stage in (("lost", "lost"), ("lost", "lost"), ("measuring", "measuring"), ("measuring", "measuring")):
        assert as_office.post(page, {button: ""}).url == reverse("home:job", args=[job.pk])
        job.refresh_from_db()
        assert job.stage == stage


@pytest.mark.parametrize("button", ["pricing", "working", "closed", "measuring", "nonsense"])
def test_no_button_makes_another_move(as_owner, job, owner, button):
    bring(job, Stage.PRICING, owner)
    as_owner.post(reverse("jobs:move", args=[job.pk]), {button: ""})
    job.refresh_from_db()
    assert job.stage == Stage.PRICING


def test_work_that_was_begun_cannot_be_marked_as_not_taken(as_owner, job, owner):
    bring(job, Stage.WORKING, owner)
    assert "Mark as not taken" not in as_owner.get(reverse("jobs:edit", args=[job.pk])).text
    as_owner.post(reverse("jobs:move", args=[job.pk]), {"lost": ""})
    job.refresh_from_db()
    assert job.stage == Stage.WORKING


def test_installers_move_nothing_and_nobody_moves_by_a_link(as_installer, as_other_installer, as_owner, job):
    page = reverse("jobs:move", args=[job.pk])
    for browser in (as_installer, as_other_installer):
        assert browser.post(page, {"lost": ""}).status_code == 403
    assert as_owner.get(page, {"lost": ""}).status_code == 405
    job.refresh_from_db()
    assert job.stage == Stage.MEASURING
