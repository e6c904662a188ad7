"""What workers and pages read about documents."""

from uuid import UUID

from django.db.models import Q, QuerySet
from django.db.models.functions import Now

from documents.models import Document, State

# At most this many messages from one sweep: the rest is older tomorrow, and goes first.
SWEEP_AT_ONCE = 200


def to_be_made() -> QuerySet[Document]:
    """Waiting and due, or working: whether its worker still lives, only the document's lock can tell."""
    return Document.objects.filter(Q(state=State.WAITING, next_try_at__lte=Now()) | Q(state=State.WORKING))


def unfinished_and_due() -> QuerySet[Document, UUID]:
    """Keys of what a sweep tells the workers of, the oldest first."""
    return to_be_made().order_by("created_at").values_list("pk", flat=True)[:SWEEP_AT_ONCE]
