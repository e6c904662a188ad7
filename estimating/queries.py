"""What pages read about estimates and proposals, each in a number of queries that doesn't grow with rows."""

from collections.abc import Collection, Iterable
from dataclasses import dataclass, field, replace
from decimal import Decimal
from typing import Literal
from uuid import UUID

from django.db.models import Prefetch, QuerySet
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _

from base.figures import digits
from estimating.catalogue import BY_KEY, DISTANCE, MINIMUM_TRIP, TILE
from estimating.choices import Offer, in_price
from estimating.explaining import Step, explained
from estimating.following import FOLLOWING
from estimating.hours import hour_for, hour_moved
from estimating.local_limits import Local
from estimating.models import (
    Acceptance,
    ChangeOrder,
    ChangeSent,
    Contingency,
    Estimate,
    EstimateLine,
    Option,
    OptionGroup,
    PriceRules,
    Proposal,
    ProposalEnd,
    ProposalSent,
    Question,
    Rate,
    Sending,
)
from estimating.option_pages import OptionsPage, options_page
from estimating.places import Place, place_of
from estimating.plans import plan_of
from estimating.priced_choices import PhasesByRoom, Priced, priced_choices, wrong_payments
from estimating.pricing import Totals
from estimating.seen import seen_lines, seen_terms
from estimating.terms import price_rules, too_thin, totals_of
from estimating.texts.blocks import scope_key
from estimating.texts.current import current_texts, not_for_every_choice
from estimating.weighing import Weighed, weigh
from jobs.models import Job, Stage
from rooms.models import Room
from rooms.queries import RoomState, room_states, unfinished_rooms
from rooms.specification import specification_of
from shop.models import Mail
from trade.phases import phases_for

_OPEN_STAGES = (Stage.MEASURING, Stage.PRICING, Stage.PROPOSED)

# ---------------------------------------------------------------- the estimate


@dataclass(frozen=True, slots=True, kw_only=True)
class Obstacle:
    """Something in the way of a proposal, and the page where it is dealt with."""

    text: str
    url: str = ""
    link: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Group:
    """A room's lines, or those of the whole job."""

    name: str
    lines: list[EstimateLine]
    to_look_at: list[EstimateLine] = field(default_factory=list)
    """Those without a rate, changed by hand, or priced by an old rate."""

    @property
    def cost(self) -> Decimal:
        return sum((line.cost for line in self.lines), Decimal(0))


Way = Literal["", "unknown", "changed"]
"""What is wrong with the distance that an estimate counts, where the shop has a rate for it: nobody said how far the
site is, or it was said otherwise since the fill."""


@dataclass(frozen=True, slots=True, kw_only=True)
class EstimatePage:
    estimate: Estimate | None
    groups: list[Group]
    totals: Totals | None
    obstacles: list[Obstacle]
    examples: list[str] = field(default_factory=list)
    """Names of lines priced by an example figure."""
    outdated: list[str] = field(default_factory=list)
    """Names of lines whose rate has a newer price that a fill would take."""
    hour_moved: bool = False
    """Whether the people on the job, or what an hour of them costs, changed since the fill."""
    steps: list[Step] = field(default_factory=list)
    weighed: Weighed | None = None
    rules: PriceRules | None = None
    """Where there is an estimate."""
    contingencies: list[Contingency] = field(default_factory=list)
    options: OptionsPage | None = None
    """Where there is an estimate."""
    way: Way = ""
    place: Place | None = None
    """What holds where the site is, where there is an estimate."""
    lines_seen: str = ""
    """With `terms_seen`, what a proposal of this page would be made of."""

    @property
    def terms_seen(self) -> str:
        return seen_terms(self.estimate) if self.estimate else ""

    @property
    def thin(self) -> bool:
        """Whether the margin is below the shop's least, reason or not."""
        totals, rules = self.totals, self.rules
        return bool(rules and totals and totals.cost and totals.margin_percent < rules.minimum_margin)


def every_line(estimate: Estimate) -> list[EstimateLine]:
    """The lines of all rooms on offer, those of options that aren't in the price too. One query."""
    return list(EstimateLine.objects.filter(estimate=estimate).select_related("room__tile", "rate__own"))


def lines_of(estimate: Estimate) -> list[EstimateLine]:
    """The lines that are in the price until the client chooses. One query."""
    return in_price(every_line(estimate))


def offer_of(
    estimate: Estimate, *, lines: list[EstimateLine] | None = None, states: Iterable[RoomState] | None = None
) -> Offer:
    """The job of an estimate as it is offered, with all its choices. 6 queries at most; `lines`: all that it has,
    `states`: of all rooms on offer, where the caller has read them already."""
    job = estimate.job_id
    lines = every_line(estimate) if lines is None else lines
    rates = {rate.key: rate for rate in Rate.objects.in_force().filter(key__in=FOLLOWING)}
    options = Prefetch("options", Option.objects.select_related("room__tile"))
    groups = OptionGroup.objects.filter(job=job).select_related("job").prefetch_related(options)
    if states is None:
        rooms = list(Room.objects.filter(job=job).in_the_offer().values_list("pk", flat=True))
    else:
        rooms = [state.room.pk for state in states]
    return Offer(
        estimate=estimate,
        lines=lines,
        rooms=rooms,
        groups=list(groups),
        rates=rates,
        hour=hour_for(job, [rates.get(MINIMUM_TRIP), *(line.rate for line in lines)]),
    )


def lowest_margin(estimate: Estimate) -> Decimal:
    """The least margin, percent of the price, that a client's choice comes to."""
    return min(each.totals.margin_percent for each in priced_choices(offer_of(estimate)))


def estimate_page(job: Job) -> EstimatePage:
    estimate = Estimate.objects.filter(job=job).first()
    if estimate is None:
        return EstimatePage(estimate=None, groups=[], totals=None, obstacles=obstacles_of(job))
    fillable = job.stage in _OPEN_STAGES
    states = room_states(job) if fillable else None
    all_lines = every_line(estimate)
    offer, lines = offer_of(estimate, lines=all_lines, states=states), in_price(all_lines)
    by_room: dict[UUID | None, Group] = {}
    for line in sorted(lines, key=lambda line: line.room is None):
        name = line.room.name if line.room else ""
        by_room.setdefault(line.room_id, Group(name=name, lines=[])).lines.append(line)
    totals, rules, place = totals_of(estimate, lines), price_rules(), place_of(job.site.region)
    contingencies = list(estimate.contingencies.all())
    hour = offer.hour if fillable else None
    weighed = weigh(estimate=estimate, lines=lines, totals=totals, rules=rules, hour=hour)
    return EstimatePage(
        estimate=estimate,
        groups=[replace(group, to_look_at=_to_look_at(group, weighed.old)) for group in by_room.values()],
        totals=totals,
        steps=explained(estimate, lines, totals),
        weighed=weighed,
        rules=rules,
        contingencies=contingencies,
        lines_seen=seen_lines(offer, contingencies),
        options=options_page(offer),
        way=_way(job, offer),
        place=place,
        obstacles=obstacles_of(job, offer, rules, place, states),
        examples=[line.text for line in all_lines if line.rate and line.rate.example],
        outdated=[line.text for line in all_lines if _has_newer_price(line)] if fillable else [],
        hour_moved=fillable and hour_moved(all_lines, hour),
    )


def _has_newer_price(line: EstimateLine) -> bool:
    """Of a rate that was put away there is none."""
    rate = line.rate
    return bool(rate and rate.ended and not line.override_reason and not (rate.own and rate.own.archived_on))


def _way(job: Job, offer: Offer) -> Way:
    if DISTANCE not in offer.rates:
        return ""
    if job.site.distance_km != offer.estimate.way_km:
        return "changed"
    return "unknown" if job.site.distance_km is None else ""


def _to_look_at(group: Group, old: list[str]) -> list[EstimateLine]:
    return [line for line in group.lines if line.lacks_rate or line.override_reason or line.text in old]


def obstacles_of(
    job: Job,
    offer: Offer | None = None,
    rules: PriceRules | None = None,
    place: Place | None = None,
    states: list[RoomState] | None = None,
) -> list[Obstacle]:
    """What stands in the way of a proposal, in the order in which to deal with it. Empty: nothing does.

    `offer`, `place` and `states`: the job's, and `rules`: the shop's, where the caller has read them already.
    """
    if job.stage not in _OPEN_STAGES:
        text = _("This job is at “%(stage)s”: nothing can be proposed for it.") % {"stage": job.get_stage_display()}
        return [Obstacle(text=text)]
    if offer is None and (estimate := Estimate.objects.filter(job=job).first()):
        offer = offer_of(estimate)
    states, unfinished = room_states(job) if states is None else states, list(unfinished_rooms(job))
    here = reverse("estimating:estimate", args=[job.pk])
    if not states and not unfinished:
        return [
            Obstacle(
                text=_("The job has no room yet."), url=reverse("rooms:new", args=[job.pk]), link=_("Measure a room")
            )
        ]
    found = [
        Obstacle(
            text=(
                _("%(room)s was measured anew since its layout was chosen.")
                if state.stale
                else _("%(room)s has no chosen layout yet.")
            )
            % {"room": state.room.name},
            url=reverse("rooms:layout", args=[state.room.pk]),
            link=_("Choose its layout"),
        )
        for state in states
        if not state.ready
    ]
    found += [
        Obstacle(
            text=_("%(room)s is measured, but unfinished.") % {"room": each},
            url=(
                reverse("rooms:edit", args=[each.room_id])
                if each.room_id
                else reverse("rooms:unfinished", args=[each.pk])
            ),
            link=_("Finish it"),
        )
        for each in unfinished
    ]
    if found:
        return found
    if offer is None or not offer.lines:
        return [Obstacle(text=_("The estimate isn't filled yet."), url=here, link=_("Fill it"))]
    if set(offer.estimate.filled_from) != {state.layout.pk for state in states if state.layout}:
        found.append(
            Obstacle(
                text=_("Another layout was chosen since the estimate was filled: fill it again."),
                url=here,
                link=_("Fill it again"),
            )
        )
    place = place or place_of(job.site.region)
    if offer.estimate.taxes != place.taxes:
        found.append(
            Obstacle(
                text=_("The taxes of the site’s place are others than when the estimate was filled: fill it again."),
                url=reverse("estimating:fill", args=[job.pk]),
                link=_("Fill it again"),
            )
        )
    found += [_lacking(line) for line in offer.lines if line.lacks_rate]
    choices, phases = [] if found else priced_choices(offer), phases_of(states)
    if choices and (wrong := payments_wrong(job, choices, phases=phases, local=place.local)):
        steps = reverse("estimating:job_payments", args=[job.pk])
        found.append(Obstacle(text=" ".join(wrong), url=steps, link=_("Change the payment steps")))
    if offer.options:
        found += _unfit_texts(set().union(*phases.values()))
    if not found and not any(line.cost for line in in_price(offer.lines)):
        found.append(Obstacle(text=_("The estimate comes to nothing: there is nothing to propose."), url=here))
    if not found:
        found += _too_thin(offer.estimate, choices, rules or price_rules(), here)
    if job.stage == Stage.MEASURING:
        found.append(Obstacle(text=_("The job is still being measured: choose the layout of its last room again.")))
    return found


def _unfit_texts(phases: Collection[str]) -> list[Obstacle]:
    """The texts of these phases that can't stand for all that the client may choose. One query."""
    texts = {key: current for key, current in current_texts().items() if key in {scope_key(phase) for phase in phases}}
    return [
        Obstacle(text=wrong, url=reverse("estimating:text", args=[key]), link=_("Change the text"))
        for key, current in texts.items()
        if (wrong := not_for_every_choice(current))
    ]


def _too_thin(estimate: Estimate, choices: list[Priced], rules: PriceRules, here: str) -> list[Obstacle]:
    """The first of the client's choices that leaves too little; the one in the price before the others."""
    for each in choices:
        if too_thin(estimate, each.totals, rules):
            said = each.told(_thin(each.totals, rules))
            return [Obstacle(text=said, url=f"{here}#totals", link=_("To the price"))]
    return []


def _thin(totals: Totals, rules: PriceRules) -> str:
    text = _("The margin is %(margin)s%% of the price, below the shop's least of %(least)s%%: raise it, or say why.")
    return text % {"margin": f"{totals.margin_percent:f}", "least": digits(rules.minimum_margin)}


def payments_wrong(job: Job, choices: list[Priced], *, phases: PhasesByRoom, local: Local) -> list[str]:
    """What is wrong with the job's payment steps for the first choice that they don't suit, and how many more there
    are; empty for nothing. 3 queries at most."""
    plan = plan_of(job)
    return wrong_payments(
        choices, steps=plan.steps, local=local, phases=phases, special_order=plan.special_order, most=1
    )


def phases_of(states: Iterable[RoomState]) -> dict[UUID, set[str]]:
    """The keys of the phases of each room, by the room's. No query."""
    return {state.room.pk: {phase.key for phase in phases_for(specification_of(state.room))} for state in states}


def _lacking(line: EstimateLine) -> Obstacle:
    """A line without rate, with the page where its rate is set: a tile that the shop doesn't know is priced by hand."""
    name = line.text if line.of_the_job else line.full_text
    tile = line.room.tile if line.room and line.key == TILE else None
    if tile is not None and tile.name in line.text:
        url = reverse("estimating:rate_tile", args=[tile.pk])
    elif line.key in BY_KEY:
        url = reverse("estimating:rate_edit", args=[line.key])
    else:
        return Obstacle(
            text=_("“%(line)s” has no rate: price it by hand.") % {"line": name},
            url=reverse("estimating:line", args=[line.pk]),
            link=_("Price it"),
        )
    return Obstacle(
        text=_("“%(line)s” has no rate.") % {"line": name},
        url=url,
        link=_("Set the rate for %(line)s") % {"line": line.text},
    )


# ---------------------------------------------------------------- proposals

Standing = Literal["open", "accepted", "resting", "expired", "replaced", "withdrawn", "declined"]


@dataclass(frozen=True, slots=True, kw_only=True)
class ProposalState:
    """How a proposal stands now; `resting`: nobody ended it, but its job waits for no answer now."""

    standing: Standing
    acceptance: Acceptance | None
    end: ProposalEnd | None

    @property
    def open(self) -> bool:
        return self.standing == "open"


def state_of(proposal: Proposal) -> ProposalState:
    """2 queries."""
    acceptance = Acceptance.objects.filter(proposal=proposal).select_related("witness", "link").first()
    if acceptance:
        acceptance.proposal = proposal  # as it was read already
    end = ProposalEnd.objects.filter(proposal=proposal).select_related("by").first()
    standing: Standing = "open"
    if acceptance:
        standing = "accepted"
    elif end:
        standing = end.kind  # type: ignore[assignment]
    elif proposal.rests:
        standing = "resting"
    elif timezone.now() >= proposal.valid_until:
        standing = "expired"
    return ProposalState(standing=standing, acceptance=acceptance, end=end)


def proposals_of_job(job: Job) -> QuerySet[Proposal]:
    """The newest first, each with its end and acceptance read along."""
    return Proposal.objects.filter(job=job).select_related("document", "end", "acceptance").defer("content")


def waiting_for_an_answer() -> QuerySet[Proposal]:
    """Proposals that stand and weren't answered, the one that expires first before the others."""
    return (
        Proposal.objects.filter(end=None, acceptance=None, valid_until__gt=timezone.now())
        .select_related("job__client", "job__site")
        .defer("content")
        .order_by("valid_until")
    )


# ---------------------------------------------------------------- what went to the client, and what came back


@dataclass(frozen=True, slots=True, kw_only=True)
class Mailed:
    """What went to a client, or was brought to mind; `mail` is None while its PDF isn't ready, or came too late."""

    sent: Sending
    mail: Mail | None


def sendings_of(offered: Proposal | ChangeOrder) -> list[Mailed]:
    """Of a proposal, or of all versions of a change order; the first first. 2 queries."""
    if isinstance(offered, Proposal):
        sendings: list[Sending] = list(ProposalSent.objects.filter(proposal=offered).select_related("by"))
    else:
        sendings = list(ChangeSent.objects.filter(offer__change=offered).select_related("by"))
    mails = {mail.key: mail for mail in Mail.objects.filter(key__in=[sent.mail_key for sent in sendings])}
    return [Mailed(sent=sent, mail=mails.get(sent.mail_key)) for sent in sendings]


def questions_of(proposal: Proposal) -> QuerySet[Question]:
    """With their answers, the first first. One query."""
    return Question.objects.filter(proposal=proposal).select_related("answer__by")


def questions_waiting() -> QuerySet[Question]:
    """Those that nobody has answered, the oldest first. One query."""
    return (
        Question.objects.filter(answer=None)
        .select_related("proposal__job__client", "proposal__job__site")
        .defer("proposal__content")
    )
