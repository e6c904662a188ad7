"""`./gaugerod manage`."""

import os
import secrets
import subprocess
import sys

from config.launcher import ROOT
from config.launcher.children import Children, wait_for_leftovers
from config.launcher.place import Place
from config.launcher.start import is_prepared, start_broker, start_database
from config.launcher.words import Trouble

# They read or write files of the project or the person's; no database, no secret.
FILE_COMMANDS = ("layout", "takeoff", "survey", "help", "--help", "makemigrations", "makemessages", "compilemessages")
# Comparing models with migrations asks for the kind of database, not for one.
NO_DATABASE = "postgresql://nobody@/none?host=/none"


def manage(arguments: list[str]) -> int:
    """Runs manage.py with the installation's database and broker, starting those that aren't running meanwhile."""
    command = [sys.executable, "-P", str(ROOT / "manage.py"), *arguments]
    if not arguments or arguments[0] in FILE_COMMANDS:
        environment = {**os.environ, "DJANGO_SETTINGS_MODULE": "config.settings", "SECRET_KEY": secrets.token_hex(32)}
        if arguments[:1] == ["makemigrations"]:
            environment |= {"DATABASE_URL": NO_DATABASE, "PYTHONWARNINGS": "ignore::RuntimeWarning"}
        os.execve(sys.executable, command, environment)  # noqa: S606
    place = Place(environ=os.environ)
    place.prepare()
    postgres, valkey = place.postgres(), place.valkey()
    if postgres and not is_prepared(postgres):
        raise Trouble("there is no shop here yet. Run this once, then try again: ./gaugerod start")
    notes = place.state / "children.json"
    children = Children(notes=notes)
    try:
        if place.lock():
            wait_for_leftovers(notes)
            if valkey:
                start_broker(valkey, children)
            if postgres:
                start_database(postgres, children)
        elif postgres and not (postgres.sockets / ".s.PGSQL.5432").exists():
            raise Trouble("Gaugerod is just starting or stopping in this folder. Try again in a moment.")
        environment = place.environment(
            postgres=postgres, valkey=valkey, public_url="http://localhost:8000", as_owner=True
        )
        return subprocess.run(command, env=environment, check=False).returncode
    except KeyboardInterrupt:
        return 130
    finally:
        children.stop()
