"""gunicorn's settings, for the launcher, the tests and docker-compose alike."""

import os
import signal
import ssl
from collections.abc import Callable
from typing import Any
from urllib.parse import urlsplit

from config.launcher.processes import end_with_parent
from config.patient import PatientSocket

wsgi_app = "config.wsgi:application"
bind = [os.environ.get("WEB_BIND", "127.0.0.1:8000")]
if certificate := os.environ.get("WEB_CERTIFICATE"):
    # Key and certificate in one file.
    certfile = keyfile = certificate
elif help_url := os.environ.get("LAN_HELP_URL"):
    # config/lan.py lets nothing but the help page be seen there.
    bind.append(urlsplit(help_url).netloc)
workers = int(os.environ.get("WEB_WORKERS", "2"))
threads = int(os.environ.get("WEB_THREADS", "4"))
# Loaded once, then forked: half the start-up time and a third of the memory.
preload_app = True
timeout = 60
graceful_timeout = 5
# A photo comes slowly over a phone's network: threads wait for it, and a worker is replaced before it grows old.
max_requests = 5000
max_requests_jitter = 500
control_socket_disable = True
# No access log: the address of a client's private link is a secret.
accesslog = None
errorlog = "-"


def ssl_context(conf: Any, make: Callable[[], ssl.SSLContext]) -> ssl.SSLContext:
    context = make()
    context.sslsocket_class = PatientSocket
    return context


def post_fork(server: Any, worker: Any) -> None:
    """A worker whose master was killed would keep the port."""
    end_with_parent(signal.SIGKILL, parent=worker.ppid)
