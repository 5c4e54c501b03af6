"""Why the records will not do something."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from slipwright.records.canonical import Value

#: a value is told in so many signs at most
MOST_TOLD = 80
#: said where there is no garden yet
MAKES_ONE = (
    "slipwright load makes one from its tables, slipwright serve a new one of your own, "
    "slipwright demo an invented one"
)


class BadValue(ValueError):
    """A value breaks the rule of its column; carries the column, the rule and the value."""

    def __init__(self, column: str, rule: str, value: object = None) -> None:
        told = _told(value)
        super().__init__(f"{column}: {rule}, not {told!r}" if value is not None else f"{column}: {rule}")
        self.column = column
        self.rule = rule
        self.value = told


def _told(value: object) -> object:
    """Return a value as it may be told: a long one is cut, whatever it is."""
    text = str(value)
    return value if len(text) <= MOST_TOLD else text[: MOST_TOLD - 1] + "…"


class UnknownRow(BadValue):
    """A row that is referred to does not exist in the garden."""

    def __init__(self, column: str, value: object, table: str) -> None:
        super().__init__(column, f"must be in {table} of this garden", value)
        self.table = table


class Clash(ValueError):
    """An entry with this id is already there and says something else."""

    def __init__(self, kind: str, entry_id: str) -> None:
        super().__init__(f"id: a {kind} with the id {entry_id} is already there and says something else")
        self.kind = kind
        self.entry_id = entry_id


class ChangedSince(ValueError):
    """A row was changed since it was shown, in columns that are to be changed now: ``columns``.

    ``row`` is the row as it stands.
    """

    def __init__(self, columns: Iterable[str], row: Mapping[str, Value]) -> None:
        self.columns = tuple(columns)
        self.row = row
        super().__init__(f"changed since it was shown: {', '.join(self.columns)}")


class Refused(ValueError):
    """Something is not done, for a reason a person should read; ``doors`` says what is open instead."""

    def __init__(self, reason: str, doors: Iterable[str] = ()) -> None:
        self.reason = reason
        self.doors = tuple(doors)
        super().__init__("\n".join((reason, *self.doors)))


class UsedMeanwhile(Refused):
    """Another programme came into use since the page was shown."""


class NotAllowed(Refused):
    """The member's role does not reach to this."""

    def __init__(self, member: str, role: str, act: str) -> None:
        super().__init__(f"{member} is a {role} of this garden and may not {act}")
        self.member = member
        self.role = role
        self.act = act


class Overheard(NotAllowed):
    """Something that is done only where nobody else can read along: over https, or on the machine."""

    def __init__(self, member: str = "somebody", role: str = "member", act: str = "do this") -> None:
        super().__init__(member, role, f"{act} over a line that others can read along")


class OnAPhone(NotAllowed):
    """A phone that was let in by a code adds to the records, and does nothing else."""

    def __init__(self, member: str, role: str, act: str) -> None:
        super().__init__(member, role, f"{act} from a phone that was let in by a code")


class TooManyTries(ValueError):
    """So many were wrong that the next has to wait ``wait_s`` seconds."""

    def __init__(self, wait_s: int) -> None:
        super().__init__(f"too many tries; wait {wait_s} s")
        self.wait_s = wait_s


class DoorBusy(ValueError):
    """Others are being let in: passwords are checked one after the other."""


class Busy(ValueError):
    """So much is being taken in that this had better come again, after so many seconds."""

    def __init__(self, wait_s: int) -> None:
        self.wait_s = wait_s
        super().__init__(f"come again in {wait_s} s")


class SeveralGardens(ValueError):
    """There are several gardens and none was named."""

    def __init__(self, names: Iterable[str]) -> None:
        self.names = tuple(names)
        super().__init__(f"there are several gardens; say which: {', '.join(self.names)}")


class TakenBefore(ValueError):
    """What was sent is there already and was taken back since, so it does not count."""


class NotFound(ValueError):
    """What was asked for is not there."""


class Ambiguous(ValueError):
    """What was asked for is there more than once; ``found`` lists it, ``by`` says how to tell which."""

    def __init__(self, asked: str, found: Iterable[str], by: str = "") -> None:
        self.asked = asked
        self.found = tuple(found)
        super().__init__(
            f"{asked} could be any of {', '.join(self.found)}; say which{f' by {by}' if by else ''}"
        )


class SchemaDiffers(ValueError):
    """The database was written by another version of Slipwright."""


class OlderSchema(SchemaDiffers):
    """The database is of an older version."""

    def __init__(self, missing: Iterable[str]) -> None:
        self.missing = tuple(missing)
        super().__init__(
            "this garden was written by an older Slipwright; run slipwright migrate, "
            "which makes a backup first"
        )


class NewerSchema(SchemaDiffers):
    """The database is of a newer version, which this one must not write to."""

    def __init__(self, unknown: Iterable[str]) -> None:
        self.unknown = tuple(unknown)
        super().__init__(
            "this garden was written by a newer Slipwright, and this one would damage it; "
            f"install the newer one (it made the changes {', '.join(self.unknown)})"
        )


class NotWhole(ValueError):
    """A copy is damaged; ``findings`` says where, in words."""

    def __init__(self, what: str, findings: Iterable[str]) -> None:
        self.what = what
        self.findings = tuple(findings)
        shown = "".join(f"\n  {finding}" for finding in self.findings[:10])
        super().__init__(f"{what} is damaged, so it is not used:{shown}")


class InUse(ValueError):
    """The garden is open elsewhere, so it is not put out of the way."""
