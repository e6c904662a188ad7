"""A table uploaded and taken over, as a browser does it."""

import re
from typing import Any

from django.core.files.uploadedfile import SimpleUploadedFile
from django.http import HttpResponse
from django.test import Client


def look(client: Client, url: str, content: str | bytes, name: str = "table.csv") -> HttpResponse:
    data = content.encode() if isinstance(content, str) else content
    return client.post(url, {"read": "", "file": SimpleUploadedFile(name, data)})


def take(client: Client, url: str, shown: HttpResponse, **options: Any) -> HttpResponse:
    return client.post(url, {"take": "", "kept": kept(shown), **options})


def kept(shown: HttpResponse) -> str:
    return re.search(r'name="kept" value="([^"]+)"', shown.content.decode())[1]


def fates(shown: HttpResponse) -> dict[int, tuple[str, str]]:
    """Word and text of each row, by its number."""
    return {fate.number: (fate.word, fate.text) for fate in shown.context["fates"]}
