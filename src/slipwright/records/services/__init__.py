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
from slipwright.records.services.gardens import DEMO_STEPS, make_garden, set_on
from slipwright.records.services.instruments import (
    MOST_READINGS,
    end_token,
    make_token,
    may_send,
    receive_readings,
    token_shown,
)
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
from slipwright.records.services.people import let_back_in, make_pair_code, set_role, shut_out
from slipwright.records.services.photos import DiskFull, receive_photo, record_photo
from slipwright.records.services.pottings import record_potting
from slipwright.records.services.receiving import Answer, Sent, receive_entry
from slipwright.records.services.reference import add_member, add_reference, edit_reference
from slipwright.records.services.rounds import record_nothing_to_note
from slipwright.records.services.sendings import Receipt, receive_file, receive_sending
from slipwright.records.services.settling import pick_look, settle_aside
from slipwright.records.services.stickings import GROUND, Lot, record_sticking, record_sticking_as_felt
from slipwright.records.services.trials import PotCount, count_trial, fix_trial, stick_trial
from slipwright.records.services.withdrawals import withdraw

__all__ = [
    "DEMO_STEPS",
    "GROUND",
    "MOST_READINGS",
    "Answer",
    "DiskFull",
    "Lot",
    "PotCount",
    "Receipt",
    "Sent",
    "add_member",
    "add_reference",
    "clear_codes",
    "count_trial",
    "edit_reference",
    "end_token",
    "fix_trial",
    "let_back_in",
    "make_code",
    "make_garden",
    "make_pair_code",
    "make_token",
    "may_send",
    "pick_look",
    "receive_entry",
    "receive_file",
    "receive_photo",
    "receive_readings",
    "receive_sending",
    "record_act",
    "record_bed",
    "record_firmness",
    "record_look",
    "record_note",
    "record_nothing_to_note",
    "record_outcome",
    "record_photo",
    "record_potting",
    "record_reading",
    "record_stage",
    "record_sticking",
    "record_sticking_as_felt",
    "set_on",
    "set_password",
    "set_role",
    "set_up_garden",
    "settle_aside",
    "shut_out",
    "spend_code",
    "stick_trial",
    "take_over",
    "token_shown",
    "user_of_member",
    "withdraw",
]
