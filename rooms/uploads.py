"""A room file as somebody uploads it: bytes of any kind, until they are shown to be plain data."""

import json
from typing import IO, Any, NoReturn

from django.utils.translation import gettext as _

from layout import RoomError

LARGEST = 2 * 2**20
"""Bytes. A room of two hundred walls takes a tenth of it."""


def read_upload(file: IO[bytes], size: int) -> Any:
    """The data of a JSON file. Raises RoomError for what isn't one, or is larger than 2 MB."""
    if size > LARGEST:
        raise RoomError("", _("it is larger than 2 MB, and no room file is; is it a photo or a drawing?"))
    try:
        text = file.read().decode("utf-8-sig")
    except UnicodeDecodeError:
        raise RoomError("", _("it isn't text in UTF-8; is it a photo or a drawing?")) from None
    try:
        return json.loads(text, parse_constant=_refuse)
    except json.JSONDecodeError as error:
        raise RoomError(
            _("line %(line)s") % {"line": error.lineno},
            _("it isn't JSON from here on; a comma or quote is missing"),
        ) from None
    except RecursionError:
        raise RoomError("", _("it is nested deeper than any room")) from None
    except RoomError:
        raise
    except ValueError:
        raise RoomError("", _("it has a number that is too long")) from None


def _refuse(name: str) -> NoReturn:
    raise RoomError("", _("%(name)s stands in it where a number should be") % {"name": name})
