"""Rates, estimates, proposals and what the client said to them. Money is Decimal, in the shop's currency."""

from estimating.models.acceptance import Acceptance
from estimating.models.change_offers import ChangeApproval, ChangeEnd, ChangeLink, ChangeOffer
from estimating.models.changes import ChangeLine, ChangeOrder, FieldLimit
from estimating.models.estimates import Contingency, Estimate, EstimateLine
from estimating.models.hourly import HourlyCost
from estimating.models.options import Option, OptionGroup, OptionKind
from estimating.models.proposals import EndKind, Proposal, ProposalEnd, ProposalLink
from estimating.models.questions import ANSWER_LENGTH, QUESTION_LENGTH, Answer, Question
from estimating.models.rates import OWN, OwnRate, Rate, RateKind
from estimating.models.sendings import WORDS_LENGTH, ChangeSent, ProposalSent, Sending, SendingKind
from estimating.models.terms import ROUND_TO, OverheadBy, PriceRules, TaxOn, TaxRule
from estimating.models.texts import LetterColor, LocalLimit, PaymentPlan, SignedAt, TextVersion

__all__ = [
    "ANSWER_LENGTH",
    "OWN",
    "QUESTION_LENGTH",
    "ROUND_TO",
    "WORDS_LENGTH",
    "Acceptance",
    "Answer",
    "ChangeApproval",
    "ChangeEnd",
    "ChangeLine",
    "ChangeLink",
    "ChangeOffer",
    "ChangeOrder",
    "ChangeSent",
    "Contingency",
    "EndKind",
    "Estimate",
    "EstimateLine",
    "FieldLimit",
    "HourlyCost",
    "LetterColor",
    "LocalLimit",
    "Option",
    "OptionGroup",
    "OptionKind",
    "OverheadBy",
    "OwnRate",
    "PaymentPlan",
    "PriceRules",
    "Proposal",
    "ProposalEnd",
    "ProposalLink",
    "ProposalSent",
    "Question",
    "Rate",
    "RateKind",
    "Sending",
    "SendingKind",
    "SignedAt",
    "TaxOn",
    "TaxRule",
    "TextVersion",
]
