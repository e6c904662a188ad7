"""Everything that changes rates, estimates and proposals. What is decided of a job is decided under its lock."""

from estimating.actions._open import CannotChange
from estimating.actions.acceptance import CannotAccept, CannotDecline, accept_proposal, decline_proposal
from estimating.actions.change_answers import (
    CannotApprove,
    approve_change,
    decline_change,
    make_change_link,
    offer_change,
    revoke_change_link,
    withdraw_change,
)
from estimating.actions.changes import (
    CannotChangeOrder,
    add_change_line,
    agree_field_limit,
    edit_change,
    raise_change,
    remove_change_line,
)
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
from estimating.actions.price_list import take_price_list
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
from estimating.actions.rates import install_example_rates, set_rate, set_rates
from estimating.actions.rules import BadTax, add_tax_rule, remove_tax_rule, set_price_rules
from estimating.actions.sending import (
    CannotSend,
    address_for,
    queue_sendings,
    remind_client,
    remind_due,
    send_change,
    send_proposal,
)
from estimating.actions.texts import (
    ChangedMeanwhile,
    bring_back_text,
    set_letter_color,
    set_local_limit,
    set_payment_plan,
    set_text,
)
from estimating.rate_figures import BadRate

__all__ = [
    "BadRate",
    "BadTax",
    "CannotAccept",
    "CannotAnswer",
    "CannotApprove",
    "CannotAsk",
    "CannotChange",
    "CannotChangeOrder",
    "CannotDecline",
    "CannotPropose",
    "CannotRenew",
    "CannotSend",
    "CannotWithdraw",
    "ChangedMeanwhile",
    "accept_proposal",
    "add_change_line",
    "add_contingency",
    "add_line",
    "add_tax_rule",
    "address_for",
    "agree_field_limit",
    "answer_question",
    "approve_change",
    "ask_question",
    "bring_back_text",
    "change_estimate",
    "change_line",
    "decline_change",
    "decline_proposal",
    "edit_change",
    "fill_estimate",
    "install_example_rates",
    "make_change_link",
    "make_link",
    "make_proposal",
    "offer_change",
    "preview_fill",
    "queue_sendings",
    "raise_change",
    "remind_client",
    "remind_due",
    "remove_change_line",
    "remove_contingency",
    "remove_line",
    "remove_tax_rule",
    "renew_proposal",
    "restore_line",
    "revoke_change_link",
    "revoke_link",
    "send_change",
    "send_proposal",
    "set_letter_color",
    "set_local_limit",
    "set_payment_plan",
    "set_price_rules",
    "set_rate",
    "set_rates",
    "set_text",
    "take_price_list",
    "withdraw_change",
    "withdraw_proposal",
]
