from uuid import UUID

from django.contrib import messages
from django.db import IntegrityError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import formats, timezone
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.http import require_http_methods

from estimating import access
from estimating.actions import (
    BadRate,
    BadTax,
    add_tax_rule,
    install_example_rates,
    remove_tax_rule,
    set_price_rules,
    set_rate,
)
from estimating.catalogue import TILE, TILE_HELP
from estimating.forms import PriceRulesForm, RateForm, TaxRuleForm
from estimating.own_rates import MOST_OWN_RATES, own_rate_rows, own_rates_put_away
from estimating.rate_figures import typed_figures
from estimating.rate_queries import grouped_rates, rate_history, rate_in_force, rate_rows, tax_rules, wanted_rate
from estimating.terms import price_rules
from rooms.models import Tile
from shop.access import not_found
from shop.models import Staff


@require_http_methods(["GET", "POST"])
def rates(request: HttpRequest) -> HttpResponse:
    """All rates; the owner fills what is missing with example figures."""
    if request.method == "POST":
        owner = access.change_rates(request.user)
        count = install_example_rates(by=owner)
        messages.success(
            request,
            ngettext(
                "%(count)s example rate added. Put your own figure in its place before you price with it.",
                "%(count)s example rates added. Put your own figures in their place before you price with them.",
                count,
            )
            % {"count": count},
        )
        return redirect("estimating:rates")
    access.see_rates(request.user)
    rows, tile_rows = rate_rows()
    own_rows, put_away = own_rate_rows(), own_rates_put_away()
    context = {
        "groups": grouped_rates(rows),
        "tile_rows": tile_rows,
        "own_rows": own_rows,
        "put_away": put_away,
        "full": len(own_rows) + len(put_away) >= MOST_OWN_RATES,
        "most": MOST_OWN_RATES,
        "missing": any(row.rate is None and not row.class_of for row in rows),
        "none_set": all(row.rate is None for row in rows),
        "examples": sum(row.rate is not None and row.rate.example for row in rows),
    }
    return render(request, "estimating/office/rates.html", context)


@require_http_methods(["GET", "POST"])
def rate_rules(request: HttpRequest) -> HttpResponse:
    """How a price is made of a cost, and the table of taxes. Buttons: save, add (a tax), remove (its key)."""
    owner = access.change_rates(request.user)
    add = TaxRuleForm(request.POST if "add" in request.POST else None)
    form = PriceRulesForm(request.POST if "save" in request.POST else None, instance=price_rules())
    if "remove" in request.POST:
        remove_tax_rule(rule=access.get_tax_rule(request.user, request.POST["remove"]), by=owner)
        messages.success(request, _("Tax removed."))
        return redirect("estimating:rate_rules")
    if form.is_bound and form.is_valid():
        set_price_rules(by=owner, **form.cleaned_data)
        messages.success(request, _("Kept. Estimates that have begun keep what they began with."))
        return redirect("estimating:rate_rules")
    if add.is_bound and add.is_valid():
        try:
            add_tax_rule(by=owner, **add.cleaned_data)
        except BadTax as error:
            add.add_error(None, str(error))
        else:
            messages.success(request, _("Tax kept. The next fill of an estimate takes it."))
            return redirect("estimating:rate_rules")
    context = {"form": form, "add": add, "taxes": tax_rules()}
    status = 422 if form.errors or add.errors else 200
    return render(request, "estimating/office/rules.html", context, status=status)


@require_http_methods(["GET", "POST"])
def rate_edit(request: HttpRequest, key: str) -> HttpResponse:
    """The price of one rate of the catalogue, and what it was before."""
    owner = access.change_rates(request.user)
    wanted = wanted_rate(key) or not_found()
    current = rate_in_force(key=key)
    if current is None:
        initial: dict[str, object] = {"unit": wanted.units[0]}
    else:
        initial = typed_figures(current)
    form = RateForm(request.POST or None, wanted=wanted, initial=initial)
    if request.method == "POST" and form.is_valid() and _save(form, key=key, tile=None, owner=owner):
        messages.success(request, kept_text(form, wanted.name))
        return redirect("estimating:rates")
    context = {
        "form": form,
        "name": wanted.name,
        "help": wanted.help,
        "current": current,
        "history": rate_history(key=key),
    }
    return render(request, "estimating/office/rate.html", context)


@require_http_methods(["GET", "POST"])
def rate_tile(request: HttpRequest, pk: UUID) -> HttpResponse:
    """The price of one of the shop's tiles."""
    tile = access.get_tile(request.user, pk)
    owner = access.change_rates(request.user)
    current = rate_in_force(key=TILE, tile=tile)
    initial = typed_figures(current) if current else {"unit": "piece", "package": tile.per_box}
    form = RateForm(request.POST or None, tile=tile, initial=initial)
    if request.method == "POST" and form.is_valid() and _save(form, key=TILE, tile=tile, owner=owner):
        messages.success(request, kept_text(form, tile))
        return redirect("estimating:rates")
    context = {
        "form": form,
        "name": tile.name,
        "help": TILE_HELP,
        "tile": tile,
        "current": current,
        "history": rate_history(key=TILE, tile=tile),
    }
    return render(request, "estimating/office/rate.html", context)


def kept_text(form: RateForm, name: object) -> str:
    """What was kept, and from which day it holds, where that is still to come."""
    day = form.cleaned_data["valid_from"]
    if day and day > timezone.localdate():
        return _("Rate kept: %(name)s, from %(day)s on.") % {"name": name, "day": formats.date_format(day)}
    return _("Rate kept: %(name)s.") % {"name": name}


def _save(form: RateForm, *, key: str, tile: Tile | None, owner: Staff) -> bool:
    """Whether the rate was kept; if not, the form says why."""
    try:
        set_rate(key=key, tile=tile, by=owner, **form.cleaned_data)
    except BadRate as error:
        form.add_error(None, str(error))
    except IntegrityError:
        form.add_error(None, _("Somebody else set this rate at the same moment. Look at it, and save again."))
    else:
        return True
    return False
