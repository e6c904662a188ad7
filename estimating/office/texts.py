"""The shop's texts in its proposals, for the owner."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from base.errors import Refused
from estimating.actions import ChangedMeanwhile, bring_back_text, set_letter_color, set_text
from estimating.models import TextVersion
from estimating.text_forms import ColorForm, TextForm
from estimating.texts.blocks import BLOCKS
from estimating.texts.current import current_text, current_texts, letter_color, text_history
from estimating.texts.fields import FIELDS, BadText, examples, fill, named_by_choice
from shop.access import not_found, require_owner
from shop.languages import for_clients

HERE = "shop:settings"


@require_http_methods(["GET", "HEAD", "POST"])
def texts(request: HttpRequest) -> HttpResponse:
    """Every block, and the letter's color. Button: color."""
    owner = require_owner(request.user)
    form = ColorForm(request.POST or None, initial={"color": letter_color()})
    if request.method == "POST" and form.is_valid():
        try:
            set_letter_color(color=form.cleaned_data["color"], by=owner)
        except Refused as refusal:
            form.add_error("color", str(refusal))
        else:
            messages.success(request, _("The next letters carry this color."))
            return redirect("estimating:texts")
    everything = _as_clients_read()
    context = {
        "letter": [current for key, current in everything.items() if not key.startswith("scope.")],
        "phases": [current for key, current in everything.items() if key.startswith("scope.")],
        "form": form,
        "here": HERE,
    }
    return render(request, "estimating/office/texts.html", context, status=422 if form.errors else 200)


_as_clients_read = for_clients(current_texts)


@require_http_methods(["GET", "HEAD", "POST"])
@for_clients
def text(request: HttpRequest, key: str) -> HttpResponse:
    """One block. Buttons: save, preview, back (the number of an earlier version; 0: the sentence to begin from)."""
    owner = require_owner(request.user)
    if key not in BLOCKS:
        not_found()
    current = current_text(key)
    form = TextForm(
        request.POST or None,
        initial={"text": current.text, "seen": current.number},
        is_list=current.block.is_list,
    )
    if request.method == "POST" and form.is_valid() and ("save" in request.POST or "back" in request.POST):
        seen = form.cleaned_data["seen"]
        try:
            if "back" in request.POST:
                number = _number(request.POST["back"])
                bring_back_text(key=key, number=number, seen=seen, by=owner)
            else:
                set_text(key=key, text=form.cleaned_data["text"], seen=seen, by=owner)
        except TextVersion.DoesNotExist:
            not_found()
        except ChangedMeanwhile as refusal:
            current = current_text(key)
            form.look_again(current.number)
            form.add_error("text", str(refusal))
        else:
            messages.success(request, _("Kept. The next proposals say it so; those that are out stay as they are."))
            return redirect("estimating:text", key)
    written = form.data.get("text", "") if form.is_bound else current.text
    context = {
        "current": current,
        "form": form,
        "preview": preview(written, is_list=current.block.is_list),
        "not_with_options": named_by_choice(written) if key.startswith("scope.") else [],
        "fields": FIELDS.items(),
        "history": text_history(key),
        "here": HERE,
    }
    return render(request, "estimating/office/text.html", context, status=422 if form.errors else 200)


def preview(written: str, *, is_list: bool) -> dict[str, object]:
    """What a text looks like with invented values: `lines` of a list or else `text`, or what is `wrong`."""
    try:
        filled = fill(written, examples())
    except BadText as error:
        return {"wrong": str(error)}
    return {"lines": [line for line in filled.splitlines() if line.strip()]} if is_list else {"text": filled}


def _number(typed: str) -> int:
    return int(typed) if typed.isdecimal() and len(typed) < 9 else not_found()
