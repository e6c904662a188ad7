"""Where the bytes of documents are kept."""

import hashlib
import os
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from django.conf import settings
from django.core.files.storage import default_storage
from django.utils import timezone

from base.keys import uuid7
from documents.models import Document


def file_name(document: Document) -> str:
    """The name in the storage: by the document's key, so that making it twice leaves one file."""
    return f"documents/{document.created_at:%Y/%m}/{document.pk}.pdf"


def keep(name: str, data: bytes) -> None:
    """Writes `data` under `name`: all of it or nothing, also where the power fails in between."""
    path = Path(default_storage.path(name))
    path.parent.mkdir(parents=True, exist_ok=True)
    part = path.with_name(f".{path.name}.part")
    with part.open("wb") as file:
        os.chmod(file.fileno(), settings.FILE_UPLOAD_PERMISSIONS)
        file.write(data)
        file.flush()
        os.fsync(file.fileno())
    part.replace(path)
    # The new name is only safe once its folder is.
    folder = os.open(path.parent, os.O_RDONLY)
    try:
        os.fsync(folder)
    finally:
        os.close(folder)


@dataclass(frozen=True, slots=True, kw_only=True)
class Kept:
    """Bytes in the storage: their name there, empty without any, and their hash."""

    file: str = ""
    sha256: str = ""

    def forget(self) -> None:
        if self.file:
            default_storage.delete(self.file)


@contextmanager
def kept(data: bytes | None, *, folder: str, ending: str = "pdf") -> Iterator[Kept]:
    """What somebody uploaded, in the storage while its row is made. What fails leaves no file behind."""
    now = Kept()
    if data:
        file = f"{folder}/{timezone.now():%Y/%m}/{uuid7()}.{ending}"
        now = Kept(file=file, sha256=hashlib.sha256(data).hexdigest())
        keep(file, data)
    try:
        yield now
    except BaseException:
        now.forget()
        raise
