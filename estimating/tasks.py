"""What Celery runs for estimating."""

from celery import shared_task

from estimating import actions


@shared_task(name="estimating.tasks.send_proposals", time_limit=60)
def send_proposals() -> None:
    actions.remind_due()
    actions.queue_sendings()
