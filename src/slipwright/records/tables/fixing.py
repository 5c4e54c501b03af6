"""Notes of a load that fix something for everybody, written by somebody who could not have done so here."""

from __future__ import annotations

from slipwright.records import roles
from slipwright.records.models import Garden, Member
from slipwright.records.selectors.fixing import fixes_for_all
from slipwright.records.tables.report import LoadReport, remark
from slipwright.records.tables.scratch import Scratch


def warn_of_fixed(garden: Garden | None, uuid: str, scratch: Scratch, report: LoadReport) -> None:
    """Warn of every new note that states an own rule or fixes a trial's plan by one who may only record.

    Whoever loads tables decides, so it is taken in; nor is a copy of a garden refused because a role changed.
    """
    if not scratch.has("notes"):
        return
    found: dict[str, str] = {}
    if garden is not None:
        found = dict(Member.objects.filter(garden=garden).values_list("member", "role"))
    if "members" in scratch.tables:
        found |= {member: role for member, role in scratch.rows("SELECT member, role FROM members") if role}
    only_record = {member for member, role in found.items() if not roles.reaches(role, roles.EDIT)}
    for line, about, text, by in scratch.rows('SELECT line, about, text, "by" FROM notes ORDER BY n'):
        if by in only_record and fixes_for_all(uuid, about, text):
            rule = "may only record, and this is told to everybody as fixed: take it back unless it is meant"
            report.warn(remark("notes.csv", line, "by", by, rule))
