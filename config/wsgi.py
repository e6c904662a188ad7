"""What the web server runs."""

import os

from django.core.wsgi import get_wsgi_application
from django.urls import get_resolver

from config.lan import only_help
from config.proxy import Application, behind_proxy

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "config.settings")
application: Application = get_wsgi_application()
if os.environ.get("BEHIND_PROXY") == "1":
    application = behind_proxy(application)
if help_url := os.environ.get("LAN_HELP_URL"):
    application = only_help(application, help_url=help_url)
# All pages are imported before the web server forks: the workers share that memory, and the first page isn't slow.
get_resolver().url_patterns  # noqa: B018
