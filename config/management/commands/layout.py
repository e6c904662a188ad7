"""`layout FILE`: lays out a room file and prints the result. Needs no database."""

import sys
from typing import Any

from django.core.management import BaseCommand

from layout.commands import main_layout


class Command(BaseCommand):
    help = __doc__
    requires_system_checks = ()

    def run_from_argv(self, argv: list[str]) -> None:
        """The arguments go on as they are: the command has a parser of its own."""
        sys.exit(main_layout(argv[2:]))

    def handle(self, *args: Any, **options: Any) -> None:
        sys.exit(main_layout(list(args)))
