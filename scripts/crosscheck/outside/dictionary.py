"""The data dictionary, read from what boutwise schema prints."""

import re
import subprocess
from dataclasses import dataclass, field

import pyarrow

TABLE = re.compile(r"^(\w+) \(Parquet( and CSV| only)\)$")
COLUMN = re.compile(r"^  (\w+): (\w+)(, may be missing)?(?:, in (.+))?$")

# The dictionary's words for types.
TYPES = {
    "string": pyarrow.types.is_string, "integer": pyarrow.types.is_integer, "number": pyarrow.types.is_float64,
    "boolean": pyarrow.types.is_boolean, "date": pyarrow.types.is_date, "timestamp": pyarrow.types.is_timestamp,
}


@dataclass
class Column:
    """A column's entry."""

    name: str
    kind: str
    optional: bool
    unit: str
    lines: list = field(default_factory=list)

    def text(self):
        """Unit and meaning as the metadata of a Parquet file have them."""
        return " ".join([f"[{self.unit}]"] * bool(self.unit) + self.lines)

    def fits(self, parquet):
        """Whether a Parquet field has the type, and may be missing only where the dictionary says so."""
        return TYPES[self.kind](parquet.type) and parquet.nullable == self.optional


@dataclass
class Table:
    """A table's entry."""

    name: str
    csv: bool
    columns: list = field(default_factory=list)


def read(program):
    """All tables in the dictionary's order."""
    printed = subprocess.run([program, "schema"], check=True, capture_output=True, text=True).stdout
    tables = []
    for line in printed.splitlines():
        if found := TABLE.match(line):
            tables.append(Table(found[1], found[2] == " and CSV"))
        elif found := COLUMN.match(line):
            tables[-1].columns.append(Column(found[1], found[2], bool(found[3]), found[4] or ""))
        elif line.startswith("      "):
            tables[-1].columns[-1].lines.append(line.strip())
    return tables
