"""Where the bytes of documents are kept."""

import os
from pathlib import Path

from django.conf import settings
from django.core.files.storage import default_storage

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
