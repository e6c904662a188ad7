"""`survey FILE`: reads a survey file and prints what it says. Needs no database."""

import sys
from typing import Any

from django.core.management import BaseCommand

from layout.survey.commands import main_survey


class Command(BaseCommand):
    help = __doc__
    requires_system_checks = ()

    def run_from_argv(self, argv: list[str]) -> None:
        """The arguments go on as they are: the command has a parser of its own."""
        sys.exit(main_survey(argv[2:]))

    def handle(self, *args: Any, **options: Any) -> None:
        sys.exit(main_survey(list(args)))
