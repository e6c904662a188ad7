"""Fills an empty shop with the demo: `./gaugerod start` calls it on the first run."""

from argparse import ArgumentParser
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from config.demo.jobs import load_jobs
from config.demo.people import hire, set_up_shop
from shop.models import Staff
from shop.queries import shop_settings


class Command(BaseCommand):
    help = "Loads the demo shop into an empty database, and writes its log-ins to a file that only you can read."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--logins", type=Path, help="file for the log-ins, one name and password a line")

    def handle(self, *, logins: Path | None, **options: Any) -> None:
        if Staff.objects.exists():
            raise CommandError("The shop isn't empty. The demo goes into an empty one only.")
        set_up_shop()
        with timezone.override(ZoneInfo(shop_settings().time_zone)):
            cast = hire()
            load_jobs(cast, say=self.stdout.write)
        lines = "".join(f"{name} {password}\n" for name, password in cast.passwords.items())
        if logins:
            logins.touch(mode=0o600)
            logins.write_text(lines, encoding="utf-8")
        else:
            self.stdout.write(lines)
