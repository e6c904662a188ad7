"""Empties the demo shop: `./gaugerod manage clear_demo`. The settings stay, and the owner's log-in."""

from argparse import ArgumentParser
from typing import Any

import pgtrigger
from django.apps import apps
from django.conf import settings
from django.core.files.storage import default_storage
from django.core.management.base import BaseCommand, CommandError
from django.db import connection, transaction

from clients.models import Client
from config.databases import as_owner
from documents.models import Document
from jobs.models import Job, Photo
from shop.models import Role, ShopSettings, Staff
from shop.queries import shop_settings

# What an empty shop still has. Everything else that our apps and the sessions wrote is emptied.
KEPT = {ShopSettings, Staff}


class Command(BaseCommand):
    help = "Deletes the demo's jobs, clients and people, and all that was added since. Settings and owners stay."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--yes", action="store_true", help="don't ask")

    def handle(self, *, yes: bool, **options: Any) -> None:
        if not shop_settings().demo:
            raise CommandError("This isn't a demo shop: nothing was deleted.")
        jobs, clients = Job.objects.count(), Client.objects.count()
        self.stdout.write(f"This deletes {jobs} jobs and {clients} clients, those added since the demo included.")
        if not yes and input('Type "clear" to go on: ').strip() != "clear":
            raise CommandError("Nothing was deleted.")
        files = _files()
        with as_owner():
            _empty()
        for name in files:
            default_storage.delete(name)
        _strike_from_the_log_ins()
        owners = ", ".join(Staff.objects.values_list("username", flat=True))
        self.stdout.write(f"The shop is empty. Log in as {owners}, whose password stays, and set the shop up.")


def _files() -> list[str]:
    """Names of the stored photos and documents."""
    photos = Photo.objects.values_list("file", flat=True)
    documents = Document.objects.exclude(file="").values_list("file", flat=True)
    return [*photos, *documents]


def _strike_from_the_log_ins() -> None:
    """The file that `./gaugerod start` shows names nobody any more who can't log in."""
    file = settings.VAR_DIR / "first-log-ins.txt"
    if file.exists():
        left = set(Staff.objects.values_list("username", flat=True))
        lines = file.read_text(encoding="utf-8").splitlines(keepends=True)
        file.write_text("".join(line for line in lines if line.split()[:1] and line.split()[0] in left), "utf-8")


def _empty() -> None:
    """As the owner role: the app's own may neither empty a table nor skip a trigger."""
    tables = [
        model._meta.db_table
        for model in apps.get_models(include_auto_created=True)
        if model._meta.managed
        and not model._meta.proxy
        and model not in KEPT
        and model._meta.app_label not in ("contenttypes", "auth")
    ]
    names = ", ".join(connection.ops.quote_name(table) for table in tables)
    with transaction.atomic(), pgtrigger.ignore(), connection.cursor() as cursor:
        cursor.execute(f"TRUNCATE {names}")
        Staff.objects.exclude(role=Role.OWNER).delete()
        ShopSettings.objects.update(demo=False)
