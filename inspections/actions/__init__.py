"""Everything that changes inspections, split by subject."""

from inspections.actions.amending import amend
from inspections.actions.checklists import ChecklistMoved, set_checklist
from inspections.actions.closing import close_out
from inspections.actions.laying_anew import lay_anew_as_built
from inspections.actions.proving import NotProved, record_entry, sign_phase, waive_check
from inspections.actions.punch import (
    add_punch_item,
    finish_punch_item,
    print_punch_list,
    reopen_punch_item,
    start_punch_list,
)
from inspections.actions.sorting import place_photo, sort_photo
from inspections.actions.starting import accept_and_open, open_phases
from inspections.actions.surveying import survey_check
from inspections.actions.waiting import tell_waits_over

__all__ = [
    "ChecklistMoved",
    "NotProved",
    "accept_and_open",
    "add_punch_item",
    "amend",
    "close_out",
    "finish_punch_item",
    "lay_anew_as_built",
    "open_phases",
    "place_photo",
    "print_punch_list",
    "record_entry",
    "reopen_punch_item",
    "set_checklist",
    "sign_phase",
    "sort_photo",
    "start_punch_list",
    "survey_check",
    "tell_waits_over",
    "waive_check",
]
