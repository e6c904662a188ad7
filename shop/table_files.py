"""A table that somebody uploads, looks at row by row, and takes over as a whole or not at all."""

import hashlib
from collections.abc import Callable, Sequence
from dataclasses import asdict, dataclass
from functools import cached_property
from itertools import groupby
from typing import Any

from django import forms
from django.contrib import messages
from django.core import signing
from django.core.paginator import Page, Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from base.errors import Refused
from base.tables import LARGEST, ROWS, BadTable, Column, Line, Table, csv_of, read_table
from shop.models import Staff

# A preview that stood open longer is of another day's prices.
KEPT_SECONDS = 24 * 60 * 60
ON_A_PAGE = 100


@dataclass(frozen=True, kw_only=True)
class Fate:
    """What taking over would do with a row. `badge`: "now" where it changes something, "todo" where it is left out,
    "late" where it can't be taken."""

    number: int
    name: str
    word: str
    badge: str
    text: str = ""

    @property
    def bad(self) -> bool:
        return self.badge == "late"


CHANGED = gettext_lazy(
    "Somebody changed something since you looked: nothing was taken over. Look again, and take it over then."
)


class ChangedSince(Refused):
    """Rows would fare otherwise than they were shown to."""


class TableForm(forms.Form):
    """In `cleaned_data["file"]` after it is valid: the Table."""

    file = forms.FileField(
        label=gettext_lazy("Table"),
        help_text=gettext_lazy("CSV or XLSX, headings in the first row; at most 2 MB and %(rows)s rows.")
        % {"rows": ROWS},
        widget=forms.FileInput(attrs={"accept": ".csv,.tsv,.txt,.xlsx"}),
    )

    def __init__(self, *args: Any, columns: Sequence[Column], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self._columns = columns

    def clean_file(self) -> Table:
        file = self.cleaned_data["file"]
        try:
            return read_table(name=file.name, content=file.read(LARGEST + 1), columns=self._columns)
        except BadTable as error:
            raise forms.ValidationError(str(error)) from None


def seen_of(fates: Sequence[Fate]) -> str:
    """By which what was shown is compared with what would happen now."""
    shown = [(fate.number, fate.name, fate.word, fate.badge, fate.text) for fate in fates]
    return hashlib.sha256(repr(shown).encode()).hexdigest()


def check_fates(fates: Sequence[Fate], *, seen: str) -> None:
    """Raises ChangedSince where they aren't those that were `seen`, Refused where one can't be taken."""
    if seen_of(fates) != seen:
        raise ChangedSince(str(CHANGED))
    if any(fate.bad for fate in fates):
        raise Refused(_("Nothing was taken over: some rows can't be. Mend them in the file, and upload it again."))


def keep(table: Table, *, seen: str, purpose: str, by: Staff) -> str:
    """The table as a page carries it from preview to take-over: signed, and of use to `by` alone."""
    return signing.dumps([asdict(table), seen], salt=f"table.{purpose}.{by.pk}", compress=True)


def kept(text: str, *, purpose: str, by: Staff) -> tuple[Table, str]:
    """What `keep` kept, and what was seen of it. Raises Refused where it is too old, of somebody else, or tampered."""
    try:
        table, seen = signing.loads(text, salt=f"table.{purpose}.{by.pk}", max_age=KEPT_SECONDS)
    except signing.BadSignature:
        raise Refused(_("This preview is too old. Upload the file again.")) from None
    return Table(**{**table, "lines": [Line(**line) for line in table["lines"]]}), seen


@dataclass(frozen=True, kw_only=True)
class Preview:
    """Fates as a page shows them: what can't be taken first, those of one word where it was asked for, so many at a
    time. `kept`: the table with what was seen of it."""

    table: Table
    fates: Sequence[Fate]
    kept: str
    show: str = ""
    number: str = "1"

    @property
    def counts(self) -> list[tuple[str, str, int]]:
        """Badge, word and how many rows have it; what can't be taken first."""
        kinds = sorted((not fate.bad, fate.badge, fate.word) for fate in self.fates)
        return [(badge, word, len(list(same))) for (_good, badge, word), same in groupby(kinds)]

    @property
    def bad(self) -> bool:
        return any(fate.bad for fate in self.fates)

    @property
    def changes(self) -> bool:
        return any(fate.badge == "now" for fate in self.fates)

    @cached_property
    def page(self) -> Page[Fate]:
        shown = [fate for fate in self.fates if not self.show or fate.word == self.show]
        return Paginator(sorted(shown, key=lambda fate: not fate.bad), ON_A_PAGE).get_page(self.number)


def table_page(
    request: HttpRequest,
    *,
    by: Staff,
    purpose: str,
    columns: Sequence[Column],
    plan: Callable[[Table], Sequence[Fate]],
    take: Callable[[Table, str], str],
    template: str,
    onward: str,
    options: forms.Form | None = None,
) -> HttpResponse:
    """Upload, preview and take-over. `plan` tells the fates; `take` gets the table and what was seen, does all or
    nothing, and returns what to say on the page `onward`. Nothing is written before. `options` stand beside the
    button. Other buttons: page (of the preview), show (rows of one fate, by its word; all by "")."""
    table, seen, refused = None, "", ""
    form = TableForm(columns=columns)
    if "read" in request.POST:
        form = TableForm(request.POST, request.FILES, columns=columns)
        table = form.cleaned_data["file"] if form.is_valid() else None
    elif request.method == "POST":
        try:
            table, seen = kept(request.POST.get("kept", ""), purpose=purpose, by=by)
            if "take" in request.POST:
                messages.success(request, take(table, seen))
                return redirect(onward)
        except Refused as refusal:
            refused, seen = str(refusal), ""
    context: dict[str, Any] = {"form": form, "refused": refused, "options": options}
    if table:
        preview = _preview(request, table, plan(table), seen=seen, purpose=purpose, by=by)
        context |= {
            "preview": preview,
            "fates": preview.page.object_list,
            "kept": preview.kept,
            "takes": not preview.bad and (options is not None or preview.changes),
        }
        if seen and seen != seen_of(preview.fates):
            context["refused"] = CHANGED
    return render(request, template, context, status=422 if form.errors or context["refused"] else 200)


def _preview(
    request: HttpRequest, table: Table, fates: Sequence[Fate], *, seen: str, purpose: str, by: Staff
) -> Preview:
    """The rows that were asked for; where fates aren't those that were `seen` before, all of them from the first."""
    now = seen_of(fates)
    if seen != now:
        return Preview(table=table, fates=fates, kept=keep(table, seen=now, purpose=purpose, by=by))
    asked = request.POST
    number = asked.get("page", "1")
    return Preview(table=table, fates=fates, kept=asked["kept"], show=asked.get("show", ""), number=number)


def csv_response(rows: Sequence[Sequence[str]], *, name: str) -> HttpResponse:
    return HttpResponse(
        csv_of(rows),
        content_type="text/csv; charset=utf-8",
        headers={"Content-Disposition": f'attachment; filename="{name}.csv"', "X-Content-Type-Options": "nosniff"},
    )
