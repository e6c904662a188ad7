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
    CannotRenew,
    CannotWithdraw,
    make_link,
    make_proposal,
    renew_proposal,
    revoke_link,
    withdraw_proposal,
)
from estimating.actions.questions import CannotAnswer, CannotAsk, answer_question, ask_question
from estimating.actions.rates import BadRate, install_example_rates, set_rate
from estimating.actions.rules import BadTax, add_tax_rule, remove_tax_rule, set_price_rules
from estimating.actions.sending import CannotSend, queue_sendings, remind_client, remind_due, send_proposal
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
    "CannotAnswer",
    "CannotAsk",
    "CannotChange",
    "CannotDecline",
    "CannotPropose",
    "CannotRenew",
    "CannotSend",
    "CannotWithdraw",
    "ChangedMeanwhile",
    "accept_proposal",
    "add_contingency",
    "add_line",
    "add_tax_rule",
    "answer_question",
    "ask_question",
    "bring_back_text",
    "change_estimate",
    "change_line",
    "decline_proposal",
    "fill_estimate",
    "install_example_rates",
    "make_link",
    "make_proposal",
    "preview_fill",
    "queue_sendings",
    "remind_client",
    "remind_due",
    "remove_contingency",
    "remove_line",
    "remove_tax_rule",
    "renew_proposal",
    "restore_line",
    "revoke_link",
    "send_proposal",
    "set_letter_color",
    "set_local_limit",
    "set_payment_plan",
    "set_price_rules",
    "set_rate",
    "set_text",
    "withdraw_proposal",
]
