"""PDFs that people upload: kept byte for byte, so they are checked by what they contain."""

import re
from typing import IO

from django.utils.translation import gettext as _

from base.errors import Refused
from shop.images import ACCEPT as PICTURES

MOST_BYTES = 20 * 2**20
ACCEPT = f"application/pdf,{PICTURES}"
"""For a file field that takes a picture or a PDF."""


class BadPdf(Refused):
    """The upload is a PDF that can't be kept. The message is for the person who sent it."""


def pdf_bytes(upload: IO[bytes]) -> bytes | None:
    """The PDF; None for what is none. Raises BadPdf for one that is too large, cut off or locked."""
    upload.seek(0)
    data = upload.read(MOST_BYTES + 1)
    if not data.startswith(b"%PDF-"):
        return None
    if len(data) > MOST_BYTES:
        raise BadPdf(_("The file is larger than %(n)s MB.") % {"n": MOST_BYTES // 2**20})
    # ISO 32000-1, 7.5.5: a PDF ends with startxref, an offset and %%EOF. Without them it was cut off on its way.
    if not re.search(rb"startxref\s+\d+\s+%%EOF", data[-1024:]):
        raise BadPdf(_("The PDF is damaged or was cut off on its way. Send it again."))
    # ISO 32000-1, 7.6.1: an encrypted one says so in its trailer, which is never encrypted itself.
    if re.search(rb"/Encrypt\b", data):
        raise BadPdf(_("The PDF is locked. Send one that opens without a password."))
    return data
