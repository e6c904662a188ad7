"""Sheets on their way to paper: what was printed before and says the same is not printed again."""

from typing import Any, TypeVar

from django.utils.translation import get_language

from documents.actions import request_document
from documents.models import State
from rooms.models import RoughInPrint, SheetPrint
from shop.audit import change
from shop.models import Staff

_Print = TypeVar("_Print", SheetPrint, RoughInPrint)


def print_once(model: type[_Print], *, kind: str, title: str, input: dict[str, Any], by: Staff, **of: Any) -> _Print:
    """The newest print `of` a layout (and paper) where it says `input` in the language that is on and didn't fail; else
    a new one on its way to a PDF."""
    language = get_language() or "en-us"
    last = model.objects.filter(**of).select_related("document").first()
    if (
        last
        and last.document.state != State.FAILED
        and (last.document.input, last.document.language) == (input, language)
    ):
        return last
    with change(by):
        document = request_document(kind=kind, title=title, input=input, by=by, language=language)
        return model.objects.create(document=document, **of)
