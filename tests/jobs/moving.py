"""Brings a job to a stage the way that it gets there."""

from jobs.actions import move_job
from jobs.models import Job, Stage

WAY = [Stage.MEASURING, Stage.PRICING, Stage.PROPOSED, Stage.WORKING, Stage.PUNCH_LIST, Stage.CLOSED]


def bring(job: Job, to: Stage, by) -> Job:
    way = [Stage.MEASURING, Stage.LOST] if to == Stage.LOST else WAY[: WAY.index(to) + 1]
    for stage in way:
        move_job(job=job, to=stage, by=by)
    return job
