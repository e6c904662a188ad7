import os

from django.core.wsgi import get_wsgi_application
from django.urls import get_resolver

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "config.settings")
application = get_wsgi_application()
# All pages are imported before the web server forks: the workers share that memory, and the first page isn't slow.
get_resolver().url_patterns  # noqa: B018
