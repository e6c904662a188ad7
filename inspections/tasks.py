"""What Celery runs for inspections."""

from celery import shared_task

from inspections import actions


@shared_task(name="inspections.tasks.tell_waits_over", time_limit=60)
def tell_waits_over() -> None:
    actions.tell_waits_over()
