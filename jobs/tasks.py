"""What Celery runs for jobs."""

from celery import shared_task

from jobs import actions


@shared_task(name="jobs.tasks.make_thumbnails", time_limit=300, soft_time_limit=280)
def make_thumbnails() -> None:
    actions.make_thumbnails()
