"""`prepare`: brings the database to this version and, in a new shop, loads the demo or makes the first owner."""

import os
import secrets
from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management import BaseCommand, call_command
from django.db import OperationalError

from shop.actions import change_settings, create_staff
from shop.models import Role, ShopSettings, Staff


class Command(BaseCommand):
    help = __doc__
    # The checks come with `migrate`; before it there is nothing to check against.
    requires_system_checks = ()

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--demo", action="store_true", help="load the demo shop, if this shop is new")
        parser.add_argument("--logins", type=Path, help="write the first log-ins into this file, not to the terminal")

    def handle(self, *args: Any, **options: Any) -> None:
        try:
            call_command("migrate", interactive=False, verbosity=options["verbosity"])
        except OperationalError as error:
            raise SystemExit(f"The database can't be reached: {str(error).strip().splitlines()[0]}") from error
        new = not (Staff.objects.exists() or ShopSettings.objects.exists())
        if new and options["demo"]:
            call_command("load_demo", logins=options["logins"])
        if not Staff.objects.filter(role=Role.OWNER, is_active=True).exists():
            self._make_owner(options["logins"])

    def _make_owner(self, logins: Path | None) -> None:
        """One owner with a password made at random, since a shop without one can't be entered."""
        password = secrets.token_urlsafe(9)
        name = "owner"
        while Staff.objects.filter(username=name).exists():
            name += "1"
        change_settings(by=None)
        create_staff(username=name, name="Owner", role=Role.OWNER, password=password, by=None)
        line = f"{name}  {password}  (owner)\n"
        if logins is None:
            self.stdout.write(f"First log-in: {line}")
            return
        with os.fdopen(os.open(logins, os.O_WRONLY | os.O_CREAT | os.O_APPEND, 0o600), "a", encoding="utf-8") as file:
            file.write(line)
