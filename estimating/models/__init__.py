"""Rates, estimates, proposals and what the client said to them. Money is Decimal, in the shop's currency."""

from estimating.models.acceptance import Acceptance
from estimating.models.estimates import Estimate, EstimateLine
from estimating.models.proposals import EndKind, Proposal, ProposalEnd, ProposalLink
from estimating.models.rates import Rate, RateKind

__all__ = [
    "Acceptance",
    "EndKind",
    "Estimate",
    "EstimateLine",
    "Proposal",
    "ProposalEnd",
    "ProposalLink",
    "Rate",
    "RateKind",
]
