"""Everything that changes rates, estimates and proposals. What is decided of a job is decided under its lock."""

from estimating.actions._open import CannotChange
from estimating.actions.acceptance import CannotAccept, CannotDecline, accept_proposal, decline_proposal
from estimating.actions.estimates import (
    add_contingency,
    add_line,
    change_estimate,
    change_line,
    remove_contingency,
    remove_line,
    restore_line,
)
from estimating.actions.fills import fill_estimate, preview_fill
from estimating.actions.proposals import (
    CannotPropose,
    CannotWithdraw,
    make_link,
    make_proposal,
    revoke_link,
    withdraw_proposal,
)
from estimating.actions.rates import BadRate, install_example_rates, set_rate
from estimating.actions.rules import BadTax, add_tax_rule, remove_tax_rule, set_price_rules
from estimating.actions.texts import (
    ChangedMeanwhile,
    bring_back_text,
    set_letter_color,
    set_local_limit,
    set_payment_plan,
    set_text,
)

__all__ = [
    "BadRate",
    "BadTax",
    "CannotAccept",
    "CannotChange",
    "CannotDecline",
    "CannotPropose",
    "CannotWithdraw",
    "ChangedMeanwhile",
    "accept_proposal",
    "add_contingency",
    "add_line",
    "add_tax_rule",
    "bring_back_text",
    "change_estimate",
    "change_line",
    "decline_proposal",
    "fill_estimate",
    "install_example_rates",
    "make_link",
    "make_proposal",
    "preview_fill",
    "remove_contingency",
    "remove_line",
    "remove_tax_rule",
    "restore_line",
    "revoke_link",
    "set_letter_color",
    "set_local_limit",
    "set_payment_plan",
    "set_price_rules",
    "set_rate",
    "set_text",
    "withdraw_proposal",
]
