"""What a client's yes to a proposal and to a change order have alike: the name, the paper, and the same yes again."""

import hashlib
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import datetime

from django.core.files.storage import default_storage
from django.utils import timezone
from django.utils.formats import date_format
from django.utils.translation import gettext as _

from base.errors import Refused
from base.keys import uuid7
from clients.models import PrivateLink
from documents.files import keep
from documents.models import Document, State
from estimating.models import Acceptance, ChangeApproval
from estimating.signing import Paper

Yes = Acceptance | ChangeApproval


@dataclass(frozen=True, slots=True, kw_only=True)
class Kept:
    """A paper in the storage: its name there, empty without one, and the hash of its bytes."""

    file: str = ""
    sha256: str = ""

    def forget(self) -> None:
        if self.file:
            default_storage.delete(self.file)


@contextmanager
def kept(paper: Paper | None) -> Iterator[Kept]:
    """The paper, in the storage. What fails leaves no file behind."""
    now = Kept()
    if paper:
        file = f"signed/{timezone.now():%Y/%m}/{uuid7()}.{paper.ending}"
        now = Kept(file=file, sha256=hashlib.sha256(paper.data).hexdigest())
        keep(file, paper.data)
    try:
        yield now
    except BaseException:
        now.forget()
        raise


def checked_name(typed: str, refusal: type[Refused]) -> str:
    """The name as it is kept. Raises `refusal` for none, and for one that no row can hold."""
    name = plain_name(typed)
    if not name:
        raise refusal(_("Type your full name: it stands for your signature."))
    if len(name) > (Acceptance._meta.get_field("typed_name").max_length or 0):
        raise refusal(_("That name is too long: type it as you sign."))
    return name


def plain_name(typed: str) -> str:
    return " ".join(typed.split())


def check_pdf(document: Document, refusal: type[Refused]) -> None:
    """Raises `refusal` while the PDF that is signed isn't there."""
    if document.state == State.FAILED:
        raise refusal(_("Its PDF could not be made. Call us: we send it to you another way."))
    if document.state != State.READY:
        raise refusal(_("Its PDF is still being made. Try again in a minute."))


def check_date(paper: Paper, *, made: datetime, until: datetime, refusal: type[Refused]) -> None:
    """A paper counts by the date beside the signature: within the days that what it says held, and not yet to come.
    Raises `refusal`."""
    first, last = timezone.localdate(made), timezone.localdate(until)
    if paper.signed_on > timezone.localdate():
        raise refusal(_("The date on the paper is still to come. Look at it again."))
    if paper.signed_on < first:
        raise refusal(_("The date on the paper lies before it was made. Is it another version’s?"))
    if paper.signed_on > last:
        raise refusal(_("By its date the paper was signed after it had expired. Make a new one."))


def is_same(earlier: Yes, *, typed_name: str, link: PrivateLink | None, paper: Paper | None, now: Kept) -> bool:
    """Whether it is the yes that was given before, sent again: by the same name and the same link or none, with the
    same paper or none."""
    return (
        earlier.typed_name == plain_name(typed_name)
        and earlier.link_id == (link.pk if link else None)
        and earlier.paper_sha256 == now.sha256
        and earlier.signed_on == (paper.signed_on if paper else None)
    )


def day_of_yes(earlier: Yes) -> str:
    """The day on which it was signed, as a person reads it."""
    return date_format(earlier.signed_day, "DATE_FORMAT")
