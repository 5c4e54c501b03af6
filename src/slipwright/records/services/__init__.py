"""Every act that writes to the records: one function an act.

Each takes keyword arguments only, is one transaction, checks the member's role, and returns the
record. All entries go through ``services.entry.add``.
"""

from slipwright.records.services.door import (
    clear_codes,
    make_code,
    set_password,
    set_up_garden,
    spend_code,
    take_over,
    user_of_member,
)
from slipwright.records.services.gardens import make_garden
from slipwright.records.services.looks import record_look
from slipwright.records.services.observations import (
    record_act,
    record_bed,
    record_firmness,
    record_note,
    record_outcome,
    record_reading,
    record_stage,
)
from slipwright.records.services.pottings import record_potting
from slipwright.records.services.receiving import Answer, receive_entry, settle_aside
from slipwright.records.services.reference import add_member, add_reference, edit_reference
from slipwright.records.services.rounds import record_nothing_to_note
from slipwright.records.services.stickings import GROUND, Lot, record_sticking
from slipwright.records.services.withdrawals import withdraw

__all__ = [
    "GROUND",
    "Answer",
    "Lot",
    "add_member",
    "add_reference",
    "clear_codes",
    "edit_reference",
    "make_code",
    "make_garden",
    "receive_entry",
    "record_act",
    "record_bed",
    "record_firmness",
    "record_look",
    "record_note",
    "record_nothing_to_note",
    "record_outcome",
    "record_potting",
    "record_reading",
    "record_stage",
    "record_sticking",
    "set_password",
    "set_up_garden",
    "settle_aside",
    "spend_code",
    "take_over",
    "user_of_member",
    "withdraw",
]
