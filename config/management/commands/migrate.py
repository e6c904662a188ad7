"""`migrate`, always as the role that owns the schema; afterwards the app role's rights are set anew."""

from typing import Any

from django.core.management.commands import migrate

from config.databases import as_owner, set_rights


class Command(migrate.Command):
    def handle(self, *args: Any, **options: Any) -> None:
        with as_owner() as app_role:
            super().handle(*args, **options)
            if not (options["plan"] or options["check_unapplied"]):
                set_rights(app_role=app_role)
