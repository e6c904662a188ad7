"""Everything that changes rates, estimates and proposals. What is decided of a job is decided under its lock."""

from base.errors import ChangedMeanwhile
from estimating.actions._following import settle_estimate
from estimating.actions._open import CannotChange, cost_by_hand
from estimating.actions.acceptance import CannotAccept, CannotDecline, accept_proposal, decline_proposal
from estimating.actions.allowances import set_allowance, settle_allowance
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
    add_rate_line,
    change_estimate,
    change_line,
    remove_contingency,
    remove_line,
    restore_line,
)
from estimating.actions.fills import fill_estimate, preview_fill
from estimating.actions.hourly import BadHour, set_hourly_cost
from estimating.actions.options import (
    add_option,
    move_up,
    name_group,
    name_option,
    offer_add_on,
    offer_another,
    remove_group,
    remove_option,
    take_into_price,
)
from estimating.actions.own_rates import change_own_rate, make_own_rate, put_away_own_rate, take_up_own_rate
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
from estimating.actions.rates import install_example_rates, price_labor_by_people, set_rate, set_rates
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
    bring_back_text,
    set_letter_color,
    set_local_limit,
    set_payment_plan,
    set_text,
)
from estimating.rate_figures import BadRate

__all__ = [
    "BadHour",
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
    "add_option",
    "add_rate_line",
    "add_tax_rule",
    "address_for",
    "agree_field_limit",
    "answer_question",
    "approve_change",
    "ask_question",
    "bring_back_text",
    "change_estimate",
    "change_line",
    "change_own_rate",
    "cost_by_hand",
    "decline_change",
    "decline_proposal",
    "edit_change",
    "fill_estimate",
    "install_example_rates",
    "make_change_link",
    "make_link",
    "make_own_rate",
    "make_proposal",
    "move_up",
    "name_group",
    "name_option",
    "offer_add_on",
    "offer_another",
    "offer_change",
    "preview_fill",
    "price_labor_by_people",
    "put_away_own_rate",
    "queue_sendings",
    "raise_change",
    "remind_client",
    "remind_due",
    "remove_change_line",
    "remove_contingency",
    "remove_group",
    "remove_line",
    "remove_option",
    "remove_tax_rule",
    "renew_proposal",
    "restore_line",
    "revoke_change_link",
    "revoke_link",
    "send_change",
    "send_proposal",
    "set_allowance",
    "set_hourly_cost",
    "set_letter_color",
    "set_local_limit",
    "set_payment_plan",
    "set_price_rules",
    "set_rate",
    "set_rates",
    "set_text",
    "settle_allowance",
    "settle_estimate",
    "take_into_price",
    "take_price_list",
    "take_up_own_rate",
    "withdraw_change",
    "withdraw_proposal",
]
