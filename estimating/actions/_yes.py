"""What a client's yes to a proposal and to a change order have alike: the name, the paper, and the same yes again."""

from contextlib import AbstractContextManager
from datetime import datetime

from django.utils import timezone
from django.utils.formats import date_format
from django.utils.translation import gettext as _

from base.errors import Refused
from clients.models import PrivateLink
from documents.files import Kept, kept
from documents.models import Document, State
from estimating.models import Acceptance, ChangeApproval
from estimating.signing import Paper

Yes = Acceptance | ChangeApproval


def kept_paper(paper: Paper | None) -> AbstractContextManager[Kept]:
    return kept(paper.data if paper else None, folder="signed", ending=paper.ending if paper else "")


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
