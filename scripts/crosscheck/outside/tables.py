"""Tables of the demonstration: Parquet and CSV read by four libraries and compared cell by cell."""

import csv
import datetime
import math
from pathlib import Path

import duckdb
import pandas
import polars
import pyarrow
import pyarrow.dataset
import pyarrow.parquet

from .checks import REFERENCE, library

PYARROW, DUCKDB, POLARS, PANDAS = (library(name) for name in ("pyarrow", "DuckDB", "Polars", "pandas"))
TEST = "scripts/crosscheck tables"


def cell(value):
    """A value in one form for all libraries: None when missing, times in UTC milliseconds."""
    if value is None or value is pandas.NaT or (isinstance(value, float) and math.isnan(value)):
        return None
    if isinstance(value, datetime.datetime):
        if value.tzinfo is None:
            value = value.replace(tzinfo=datetime.timezone.utc)
        return ("ms", round(value.timestamp() * 1000))
    if isinstance(value, datetime.date):
        return ("date", value.isoformat())
    return value.item() if hasattr(value, "item") else value


def rows(values):
    """Rows in the libraries' common form and in one order, whatever order the files were read in."""
    return sorted(([cell(v) for v in row] for row in values), key=repr)


def from_pyarrow(table):
    """Rows of a pyarrow table; its timestamps go through no other library."""
    columns = []
    for column in table.columns:
        if pyarrow.types.is_timestamp(column.type):
            column = column.cast(pyarrow.timestamp("ms", tz="UTC")).cast(pyarrow.int64())
            columns.append([None if v is None else ("ms", v) for v in column.to_pylist()])
        else:
            columns.append(column.to_pylist())
    return sorted(([cell(v) for v in row] for row in zip(*columns)), key=repr)


def from_duckdb(folder):
    """Rows by DuckDB, the whole folder as one table."""
    connection = duckdb.connect()
    relation = connection.sql(f"select * from read_parquet('{folder}/*.parquet')")
    # Times as milliseconds, so that no time zone of the session matters.
    names = [
        f'epoch_ms("{name}") as "{name}"' if "TIMESTAMP" in str(kind) else f'"{name}"'
        for name, kind in zip(relation.columns, relation.types)
    ]
    timed = ["TIMESTAMP" in str(kind) for kind in relation.types]
    for row in relation.project(", ".join(names)).fetchall():
        yield [("ms", v) if t and v is not None else v for t, v in zip(timed, row)]


def duckdb_nulls(folder):
    """Missing values of each column by the files' own statistics, as DuckDB reads them."""
    query = f"""select path_in_schema, sum(stats_null_count)::bigint
        from parquet_metadata('{folder}/*.parquet') group by 1"""
    return dict(duckdb.connect().sql(query).fetchall())


def from_csv(path, schema):
    """Header and rows of a CSV file, its texts read as the Parquet columns' types."""
    with open(path, newline="", encoding="utf-8") as file:
        lines = csv.reader(file)
        header = next(lines)
        return header, rows([_typed(text, field) for text, field in zip(line, schema)] for line in lines)


def _typed(text, field):
    """One CSV cell as a value of a Parquet column."""
    kind = field.type
    if text == "" and (field.nullable or not pyarrow.types.is_string(kind)):
        return None
    if pyarrow.types.is_timestamp(kind):
        return datetime.datetime.fromisoformat(text)
    if pyarrow.types.is_date(kind):
        return datetime.date.fromisoformat(text)
    if pyarrow.types.is_boolean(kind):
        return {"true": True, "false": False}[text]
    if pyarrow.types.is_integer(kind):
        return int(text)
    return float(text) if pyarrow.types.is_floating(kind) else text


def statistics(folder):
    """Least and greatest value of each column by the files' statistics, against the values themselves."""
    for path in sorted(Path(folder).glob("*.parquet")):
        file = pyarrow.parquet.ParquetFile(path)
        for group in range(file.num_row_groups):
            values = file.read_row_group(group)
            for i, name in enumerate(values.column_names):
                found = file.metadata.row_group(group).column(i).statistics
                present = [v for v in values.column(name).to_pylist() if v is not None]
                if found is None or not found.has_min_max or not present or isinstance(present[0], str):
                    continue  # bounds of texts may be cut short
                yield cell(found.min), cell(min(present))
                yield cell(found.max), cell(max(present))


def compare(checks, out):
    """Adds the checks of every table."""
    for folder in sorted(p for p in (Path(out) / "parquet").iterdir() if p.is_dir()):
        name = folder.name
        table = pyarrow.dataset.dataset(folder, format="parquet").to_table()
        ours = from_pyarrow(table)
        names = table.column_names
        readers = {
            DUCKDB: rows(from_duckdb(folder)),
            POLARS: rows(polars.read_parquet(folder / "*.parquet").rows()),
            PANDAS: rows(pandas.read_parquet(folder).astype(object).itertuples(index=False)),
        }
        csv_path = Path(out) / "csv" / f"{name}.csv"
        if csv_path.exists():
            header, lines = from_csv(csv_path, table.schema)
            checks.same(f"table-{name}-csv", f"{name}: CSV against Parquet, header and cells",
                        f"{PYARROW} and Python's csv", REFERENCE,
                        _cells([header, *lines], [names, *ours]), TEST, "cells")
        for reader, theirs in readers.items():
            checks.same(f"table-{name}-{reader.split()[0].lower()}", f"{name}: rows of the folder as one table",
                        f"{reader} against {PYARROW}", REFERENCE, _cells(ours, theirs), TEST, "cells")
        _compare_files(checks, name, folder, table)


def _compare_files(checks, name, folder, table):
    """Adds the checks of schema and statistics."""
    schemas = [pyarrow.parquet.read_schema(path) for path in sorted(folder.glob("*.parquet"))]
    checks.same(f"table-{name}-schema", f"{name}: every file has the table's columns and types", PYARROW, REFERENCE,
                [(s.remove_metadata(), table.schema.remove_metadata()) for s in schemas], TEST, "files")
    described = [bool((s.metadata or {}).get(f"column.{field.name}".encode())) for s in schemas for field in s]
    checks.same(f"table-{name}-metadata", f"{name}: every column is described in the file's metadata", PYARROW,
                REFERENCE, [(d, True) for d in described], TEST, "columns")
    stated = duckdb_nulls(folder)
    counted = [(stated.get(c, 0), table.column(c).null_count) for c in table.column_names]
    checks.same(f"table-{name}-nulls", f"{name}: null counts in the statistics", f"{DUCKDB}, counted by {PYARROW}",
                REFERENCE, counted, TEST, "columns")
    bounds = list(statistics(folder))
    if bounds:
        checks.same(f"table-{name}-bounds", f"{name}: least and greatest values in the statistics", PYARROW,
                    REFERENCE, bounds, TEST, "bounds")


def _cells(ours, theirs):
    """Pairs of cells, the number of rows first."""
    yield len(ours), len(theirs)
    for a, b in zip(ours, theirs):
        yield len(a), len(b)
        yield from zip(a, b)
