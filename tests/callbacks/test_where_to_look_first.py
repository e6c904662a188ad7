"""Likely causes of what came back, and what this job's own checks said of them."""

from datetime import timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from callbacks.actions import book_visit, close_out_job, log_callback
from callbacks.models import Symptom
from callbacks.queries import help_for
from inspections.actions import open_phases, start_punch_list
from jobs.actions import move_job
from jobs.models import Stage
from tests.inspections.proofs import prove_and_sign
from trade.callbacks import LESSONS, cautions_of, lessons_of
from trade.catalogue import PHASE_KINDS


def test_every_symptom_has_a_lesson_and_every_lesson_a_symptom():
    assert {lesson.symptom for lesson in LESSONS} == set(Symptom.values)


def test_every_check_that_a_lesson_names_is_in_the_catalogue():
    known = {check.key for kind in PHASE_KINDS for check in kind.checks}
    named = {key for lesson in LESSONS for key in lesson.checks}
    assert named
    assert named <= known


def test_lessons_say_that_they_have_no_source():
    assert all(lesson.confidence == "common practice" and "no source" in lesson.source for lesson in LESSONS)


def test_dangers_are_spoken_of_where_there_are_any():
    assert {rule.id for rule in cautions_of("leak")} >= {"safety.plumbing", "safety.wiring"}
    assert {rule.id for rule in cautions_of("cold_floor")} == {"safety.wiring"}
    assert cautions_of("no such symptom") == lessons_of("no such symptom") == ()


@pytest.fixture
def built(room, owner, installer):
    """The job of a shower whose phases were all proved and signed, closed out."""
    for stage in (Stage.PRICING, Stage.PROPOSED, Stage.WORKING):
        move_job(job=room.job, to=stage, by=None)
    open_phases(room.job)
    for phase in room.phases.order_by("position"):
        prove_and_sign(phase, by=installer)
    start_punch_list(job=room.job, by=owner)
    close_out_job(job=room.job, walked_with="Odalys Brandt", by=owner)
    room.job.refresh_from_db()
    return room.job


@pytest.mark.django_db
def test_a_corner_that_cracks_leads_to_the_check_of_soft_joints_on_this_job(built, room, office, as_office, today):
    callback = log_callback(
        job=built,
        room=room,
        symptom="corner_grout",
        text="Cracks in the corner",
        reported_by="Odalys",
        reported_on=today,
        by=office,
    )
    (lesson,) = help_for(callback).lessons
    keys = {proof.check.check.key for proof in lesson.proofs}
    assert keys == {"grout.soft", "soft_joints.planes", "soft_joints.photo"}
    assert all(proof.check.state == "holds" for proof in lesson.proofs)

    page = as_office.get(reverse("callbacks:detail", args=[callback.pk])).content.decode()
    proof = lesson.proofs[0]
    assert f"{reverse('inspections:phase', args=[proof.phase.phase.pk])}#check-{proof.check.check.pk}" in page
    assert "Common practice, no source" in page


@pytest.mark.django_db
def test_the_page_costs_the_same_however_many_visits_and_callbacks_there_are(
    callback, log, installer, tomorrow, office, as_office, django_assert_num_queries
):
    url = reverse("callbacks:detail", args=[callback.pk])
    as_office.get(url)
    with CaptureQueriesContext(connection) as before:
        as_office.get(url)
    for hour in range(5):
        at = tomorrow + timedelta(hours=hour)
        book_visit(callback=callback, person=installer, starts=at, ends=at + timedelta(hours=1), by=office)
        log(text=f"{hour}")
    with django_assert_num_queries(len(before)):
        as_office.get(url)
