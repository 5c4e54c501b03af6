"""What the rows of a load name in other tables, and whether it is there."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping

from slipwright.craft.names import NotAPlantName, plant_name
from slipwright.records.columns import TABLES, Table, table_named
from slipwright.records.models import Garden
from slipwright.records.rows import MODELS
from slipwright.records.tables.checking import Plain
from slipwright.records.tables.report import LoadReport, remark
from slipwright.records.tables.scratch import Scratch, in_chunks

#: The rows of a JSON list, for ``IN``.
LISTED = "(SELECT value FROM json_each(?))"


class Links:
    """The keys that the load gives, table by table, and the keys that its rows name."""

    def __init__(self) -> None:
        #: Key and line of every row with a key of one column, unsound rows included.
        self.given: dict[str, dict[Plain, int]] = {table.name: {} for table in TABLES}
        #: Tables whose file could not be read, so that nobody knows what it gives.
        self.unread: set[str] = set()
        self.named: dict[tuple[str, str], set[Plain]] = {
            (table.name, column.name): set() for table in TABLES for column in table.columns if column.ref
        }

    def of(self, table: Table) -> list[tuple[str, set[Plain]]]:
        """Return the reference columns of ``table``, each with the keys that it names."""
        return [(column.name, self.named[table.name, column.name]) for column in table.columns if column.ref]

    def note(self, table: Table, values: Mapping[str, Plain]) -> None:
        """Remember what a row names."""
        for name, named in self.of(table):
            if name in values:
                named.add(values[name])

    def missing(self, garden: Garden | None, ref: str, keys: Iterable[Plain]) -> set[Plain]:
        """Return the keys that are neither in the load nor in the garden."""
        return absent(garden, ref, set(keys) - self.given[ref].keys())


def absent(garden: Garden | None, table: str, keys: set[Plain]) -> set[Plain]:
    """Return the keys that no row of ``table`` in the garden has."""
    if garden is None:
        return keys
    key = table_named(table).key[0]
    manager = MODELS[table]._default_manager
    found: set[Plain] = set()
    for chunk in in_chunks(keys):
        rows = manager.filter(**{"garden": garden, f"{key}__in": chunk})
        found.update(rows.values_list(key, flat=True))
    return keys - found


def taxa_to_add(links: Links, garden: Garden | None) -> tuple[list[str], dict[Plain, str]]:
    """Return the taxa that are named and nowhere listed, and why others cannot be added.

    A name is added only in the spelling of the ICNCP, so that one plant does not become two.
    """
    named = set().union(*(keys for (_, column), keys in links.named.items() if column == "taxon"))
    good: list[str] = []
    refused: dict[Plain, str] = {}
    for name in sorted(map(str, links.missing(garden, "taxa", named))):
        try:
            right = plant_name(name).canonical()
        except NotAPlantName as error:
            refused[name] = f"is not in taxa, and cannot be added by its name: {error.rule}"
            continue
        if right == name:
            good.append(name)
        else:
            refused[name] = f"is not in taxa; by the ICNCP it is written {right}"
    return good, refused


def check_links(
    links: Links, garden: Garden | None, scratch: Scratch, refused: Mapping[Plain, str], report: LoadReport
) -> None:
    """Report every row of the scratch that names what is nowhere to be found."""
    for table in TABLES:
        for column in table.columns:
            if not column.ref or column.ref in links.unread:
                continue
            named = links.named[table.name, column.name]
            missing = links.missing(garden, column.ref, named)
            rules = {key: refused.get(key, f"must be in {column.ref}") for key in missing}
            if rules and table.name in scratch.tables:
                _report(table, column.name, rules, scratch, report)


def _report(
    table: Table, column: str, rules: Mapping[Plain, str], scratch: Scratch, report: LoadReport
) -> None:
    sql = f'SELECT line, "{column}" FROM "{table.name}" WHERE "{column}" IN {LISTED} ORDER BY n'
    for line, value in scratch.rows(sql, json.dumps(list(rules))):
        report.reject(table.name, remark(f"{table.name}.csv", line, column, value, rules[value]))
