"""The settings of the tests, and of the web server and the worker that tests start: the shop's own, and fast log-ins.

The database's name is filled in by the fixtures (tests/support/databases.py): nothing is connected at import.
"""

import os
import secrets

os.environ.setdefault("SECRET_KEY", "for tests only, of no worth anywhere else")
# Only named here: the fixture `test_folder` makes it. Short, since a socket's path ends at 107 bytes.
os.environ.setdefault("TEST_FOLDER", f"/tmp/gaugerod-test-{os.getpid()}-{secrets.token_hex(4)}")
# Each of several workers (pytest -n) has a folder of its own, and so a server and a template of its own.
worker = os.environ.get("PYTEST_XDIST_WORKER", "")
if not os.environ["TEST_FOLDER"].endswith(worker):
    os.environ["TEST_FOLDER"] += f"-{worker}"
# Not the DATABASE_URL of the shell: a test run must never touch the shop's own database.
os.environ["DATABASE_URL"] = os.environ.get("TEST_DATABASE_URL", "postgresql://gaugerod_app@/none?host=/none")
os.environ["STATIC_ROOT"] = os.path.join(os.environ["TEST_FOLDER"], "static")
os.environ["BROKER_URL"] = os.environ.get("TEST_BROKER_URL", "memory://")
os.environ.pop("DATABASE_OWNER_URL", None)
# Nor the shell's mail server.
os.environ["EMAIL_URL"] = os.environ.get("TEST_EMAIL_URL", "")
os.environ["EMAIL_FROM"] = "office@example.com"

from config.settings import *  # noqa: E402, F403 -- the environment above has to be there first

PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
# Documents that only tests ask for: plain, slow and broken ones.
TEMPLATES = [TEMPLATES[0] | {"DIRS": [BASE_DIR / "templates", BASE_DIR / "tests/templates"]}]  # noqa: F405
