"""What the web server runs."""

import os

from django.core.wsgi import get_wsgi_application
from django.urls import get_resolver

from config.proxy import Application, behind_proxy

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "config.settings")
application: Application = get_wsgi_application()
if os.environ.get("BEHIND_PROXY") == "1":
    application = behind_proxy(application)
# All pages are imported before the web server forks: the workers share that memory, and the first page isn't slow.
get_resolver().url_patterns  # noqa: B018
