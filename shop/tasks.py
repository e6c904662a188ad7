"""What Celery runs for the shop."""

from celery import shared_task

from shop import mail


@shared_task(name="shop.tasks.send_mails", time_limit=300, soft_time_limit=280)
def send_mails() -> None:
    mail.send_mails()
