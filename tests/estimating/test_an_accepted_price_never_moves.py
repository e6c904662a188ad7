"""Whatever changes in the shop after an acceptance, what was accepted stays: any changes, in any order.

One database for all examples: each goes on where the one before left the shop.
"""

from contextlib import suppress
from datetime import timedelta
from decimal import Decimal

import pytest
from django.utils import timezone
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from base.errors import Refused
from estimating.actions import (
    accept_proposal,
    add_tax_rule,
    change_own_rate,
    make_own_rate,
    price_labor_by_people,
    put_away_own_rate,
    set_hourly_cost,
    set_local_limit,
    set_payment_plan,
    set_price_rules,
    set_rate,
    set_text,
    take_up_own_rate,
)
from estimating.content import content_hash
from estimating.job_sum import job_sum
from estimating.local_limits import local_limits
from estimating.models import Acceptance, EstimateLine, OwnRate, Proposal, Rate
from estimating.payments import Step
from estimating.plans import plan_of
from estimating.queries import estimate_page
from estimating.rate_figures import BadRate, figures_of
from estimating.texts.blocks import BLOCKS
from estimating.texts.current import current_text
from shop.actions import set_limit
from shop.models import LimitChange, ShopSettings

MONEY = st.decimals(min_value=1, max_value=999, places=2)
PERCENT = st.decimals(min_value=0, max_value=20, places=2)
KEY = next(iter(BLOCKS))
DAYS = st.integers(-400, 300)


def _rate(die, owner):
    row = die.draw(st.sampled_from(list(Rate.objects.in_force().order_by("key", "id"))))
    day = timezone.localdate() + timedelta(days=die.draw(DAYS))
    set_rate(**{**figures_of(row), "cost": die.draw(MONEY), "valid_from": day}, by=owner)


def _own_rate(die, owner):
    own = OwnRate.objects.get()
    what = die.draw(st.sampled_from([change_own_rate, take_up_own_rate, put_away_own_rate]))
    figures = {"name": die.draw(st.sampled_from(["Ferry", "Toll"])), "unit": "trip", "cost": die.draw(MONEY)}
    what(own=own, by=owner, **({} if what is put_away_own_rate else figures))


def _limit(die, owner):
    newest = LimitChange.objects.filter(key="mortar_hours").order_by("-number").first()
    seen = newest.number if newest else 0
    set_limit(key="mortar_hours", value=Decimal(die.draw(st.integers(24, 72))), reason="as told", seen=seen, by=owner)


def _tax(die, owner):
    choices = (["", "OH", "Ohio", "CA"], ["material", "labor"], ["cost", "price"])
    region, kind, on = (die.draw(st.sampled_from(each)) for each in choices)
    add_tax_rule(region=region, kind=kind, on=on, percent=die.draw(PERCENT), by=owner)


def _text(die, owner):
    text = die.draw(st.sampled_from(["As agreed.", "As it says here.", ""]))
    set_text(key=KEY, text=text, seen=current_text(KEY).number, by=owner)


def _payments(die, owner):
    steps = [Step(due="signing", percent=die.draw(PERCENT) or Decimal(1)), Step(due="walk_through")]
    set_payment_plan(steps=steps, seen=plan_of(None).number, by=owner)


def _local(die, owner):
    there = local_limits()["california"]
    set_local_limit(
        key="california", place="California", code="CA", share=die.draw(st.sampled_from(["10", "5"])), most=None,
        cancel_days=die.draw(st.integers(0, 9)), note="as told", seen=there.number, by=owner,
    )  # fmt: skip


def _people(die, owner):
    set_hourly_cost(person=owner, wage=die.draw(MONEY), burden_percent=Decimal(30), by=owner)
    price_labor_by_people(follow=die.draw(st.booleans()), by=owner)


def _rules(die, owner):
    by = die.draw(st.sampled_from(["", "hour", "percent"]))
    figures = {"overhead": die.draw(PERCENT), "minimum": die.draw(MONEY), "round_to": 50, "rate_days": 1}
    set_price_rules(overhead_by=by, **figures, by=owner)


def _shop(die, owner):
    ShopSettings.objects.update_or_create(
        pk=1, defaults={"markup_percent": die.draw(PERCENT), "tax_percent": die.draw(PERCENT), "name": "Another name"}
    )


def _site(die, owner):
    site = Acceptance.objects.get().job.site
    site.region, site.distance_km = die.draw(st.sampled_from(["OH", "CA", "Calif."])), die.draw(MONEY)
    site.save()


CHANGES = (_rate, _rate, _own_rate, _limit, _tax, _text, _payments, _local, _people, _rules, _shop, _site)


def _accepted():
    """What must stay, read anew."""
    acceptance, proposal = Acceptance.objects.get(), Proposal.objects.get()
    page = estimate_page(acceptance.job)
    assert content_hash(proposal.content) == proposal.content_sha256 == acceptance.content_sha256
    return {
        "content": proposal.content,
        "letter": proposal.document.input["letter"],
        "hash": proposal.content_sha256,
        "totals": (proposal.total, acceptance.total, job_sum(acceptance.job).total, page.totals.total),
        "lines": list(EstimateLine.objects.order_by("pk").values()),
    }


@pytest.fixture
def stays(own_database, propose, laid_out, owner):
    accept_proposal(proposal=propose(), typed_name="Odalys Brandt", witness=owner)
    make_own_rate(name="Ferry", kind="travel", unit="trip", cost=Decimal(9), by=owner)
    stands = _accepted()
    assert len(set(stands["totals"])) == 1
    return stands


def test_whatever_changes_afterwards_it_stays(stays, owner):
    done = set()

    @settings(max_examples=12, suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large])
    @given(st.data())
    def changes(die):
        for change in die.draw(st.lists(st.sampled_from(CHANGES), min_size=3, max_size=8)):
            with suppress(BadRate, Refused):
                change(die, owner)
                done.add(change)
        assert _accepted() == stays

    changes()
    assert len(done) > len(set(CHANGES)) / 2, "most of them were made"
