"""Everything that changes rates, estimates and proposals. What is decided of a job is decided under its lock."""

from estimating.actions.acceptance import CannotAccept, CannotDecline, accept_proposal, decline_proposal
from estimating.actions.estimates import (
    CannotChange,
    add_line,
    change_estimate,
    change_line,
    fill_estimate,
    remove_line,
)
from estimating.actions.proposals import (
    CannotPropose,
    CannotWithdraw,
    make_link,
    make_proposal,
    revoke_link,
    withdraw_proposal,
)
from estimating.actions.rates import BadRate, install_example_rates, set_rate

__all__ = [
    "BadRate",
    "CannotAccept",
    "CannotChange",
    "CannotDecline",
    "CannotPropose",
    "CannotWithdraw",
    "accept_proposal",
    "add_line",
    "change_estimate",
    "change_line",
    "decline_proposal",
    "fill_estimate",
    "install_example_rates",
    "make_link",
    "make_proposal",
    "remove_line",
    "revoke_link",
    "set_rate",
    "withdraw_proposal",
]
