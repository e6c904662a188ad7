"""Celery: tasks get ids only, and every task may run twice without harm."""

import os
import signal
from typing import Any

from celery import Celery
from celery.signals import beat_embedded_init, worker_process_init

from config.launcher.processes import end_with_parent
from documents.timing import SWEEP_SECONDS

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "config.settings")

# A lost worker's message comes back after VISIBILITY_SECONDS; the sweep below is what a person waits for.
VISIBILITY_SECONDS = 600
# A wait lasts hours: nobody needs to hear of its end by the second.
WAITS_SECONDS = 60

app = Celery("gaugerod")
app.conf.update(
    broker_url=os.environ.get("BROKER_URL", ""),
    broker_transport_options={
        "visibility_timeout": VISIBILITY_SECONDS,
        "unacked_restore_interval": 5,
        "unacked_restore_throttle": 1,
    },
    broker_connection_retry_on_startup=True,
    task_acks_late=True,
    task_reject_on_worker_lost=True,
    task_ignore_result=True,
    worker_prefetch_multiplier=1,
    worker_hijack_root_logger=False,
    timezone="UTC",
    beat_schedule={
        "documents-sweep": {
            "task": "documents.tasks.sweep_documents",
            "schedule": SWEEP_SECONDS,
            # Without a worker they would pile up.
            "options": {"expires": SWEEP_SECONDS},
        },
        "jobs-thumbnails": {
            "task": "jobs.tasks.make_thumbnails",
            "schedule": SWEEP_SECONDS,
            "options": {"expires": SWEEP_SECONDS},
        },
        "shop-mails": {
            "task": "shop.tasks.send_mails",
            "schedule": SWEEP_SECONDS,
            "options": {"expires": SWEEP_SECONDS},
        },
        "estimating-proposals": {
            "task": "estimating.tasks.send_proposals",
            "schedule": SWEEP_SECONDS,
            "options": {"expires": SWEEP_SECONDS},
        },
        "inspections-waits": {
            "task": "inspections.tasks.tell_waits_over",
            "schedule": WAITS_SECONDS,
            "options": {"expires": WAITS_SECONDS},
        },
    },
)
app.autodiscover_tasks()


# Taken before anything forks: a child whose worker died meanwhile finds another parent, and ends at once.
_WORKER = os.getpid()


@worker_process_init.connect
@beat_embedded_init.connect
def _end_with_the_worker(**kwargs: Any) -> None:
    """A worker that was killed leaves no child behind: a beat of its own would go on sending tasks for ever."""
    end_with_parent(signal.SIGKILL, parent=_WORKER)
