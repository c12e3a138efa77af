"""Tables of the demonstration: Parquet and CSV read by four libraries and compared cell by cell."""

import csv
import datetime
from pathlib import Path

import duckdb
import pandas
import polars
import pyarrow
import pyarrow.compute
import pyarrow.dataset
import pyarrow.parquet

from .checks import REFERENCE, library

PYARROW, DUCKDB, POLARS, PANDAS = (library(name) for name in ("pyarrow", "DuckDB", "Polars", "pandas"))
TEST = "scripts/crosscheck tables"


def from_duckdb(folder):
    """The folder as one table, by DuckDB."""
    connection = duckdb.connect()
    connection.sql("set timezone = 'UTC'")
    return connection.sql(f"select * from read_parquet('{folder}/*.parquet')").to_arrow_table()


def from_polars(folder):
    """The same by Polars."""
    return polars.read_parquet(folder / "*.parquet").to_arrow()


def from_pandas(folder):
    """The same by pandas, with types that know what is missing."""
    return pyarrow.Table.from_pandas(pandas.read_parquet(folder, dtype_backend="pyarrow"), preserve_index=False)


READERS = {DUCKDB: from_duckdb, POLARS: from_polars, PANDAS: from_pandas}


def from_csv(path, schema):
    """Header and columns of a CSV file, its texts read as the Parquet columns' types."""
    with open(path, newline="", encoding="utf-8") as file:
        lines = csv.reader(file)
        header = next(lines)
        columns = [[_typed(text, field) for text in column] for field, column in zip(schema, zip(*lines))]
    columns += [[]] * (len(schema) - len(columns))  # a table without rows
    return header, pyarrow.Table.from_arrays(
        [pyarrow.array(values, field.type) for values, field in zip(columns, schema)], schema=schema)


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


def in_order(table):
    """The rows in one order, whatever order the files were read in."""
    return table.sort_by([(name, "ascending") for name in table.column_names])


def equal_cells(ours, theirs):
    """Equal cells, and all cells, of two tables with the same rows in any order; the header counts too."""
    total = ours.num_rows * ours.num_columns + ours.num_columns
    if ours.column_names != theirs.column_names or ours.num_rows != theirs.num_rows:
        return 0, total
    theirs = in_order(theirs.cast(ours.schema.remove_metadata()))
    equal = ours.num_columns
    for a, b in zip(in_order(ours).columns, theirs.columns):
        same = pyarrow.compute.equal(a, b).fill_null(False)
        missing = pyarrow.compute.and_(a.is_null(), b.is_null())
        equal += pyarrow.compute.sum(pyarrow.compute.or_(same, missing)).as_py() or 0
    return equal, total


def statistics(path):
    """What the row groups of one file state of each column, against its values: rows, nulls, bounds."""
    file = pyarrow.parquet.ParquetFile(path)
    for group in range(file.num_row_groups):
        values = file.read_row_group(group)
        for i, name in enumerate(values.column_names):
            column, found = values.column(name), file.metadata.row_group(group).column(i).statistics
            if found is None:
                yield (name, "no statistics"), (name, "statistics")
                continue
            yield (name, found.null_count, found.num_values), (name, column.null_count, len(column) - column.null_count)
            if found.has_min_max:
                yield from _bounds(name, column, found)


def _bounds(name, column, found):
    """Least and greatest value; bounds of texts may be cut short and need only hold."""
    bounds = pyarrow.compute.min_max(column).as_py()
    if pyarrow.types.is_string(column.type):
        held = found.min <= bounds["min"] and found.max >= bounds["max"]
        yield (name, "bounds hold", held), (name, "bounds hold", True)
        return
    yield (name, _plain(found.min)), (name, _plain(bounds["min"]))
    yield (name, _plain(found.max)), (name, _plain(bounds["max"]))


def _plain(value):
    """Times without their zone, which libraries name differently."""
    return value.replace(tzinfo=None) if isinstance(value, datetime.datetime) else value


def duckdb_nulls(folder):
    """Missing values of each column by the files' own statistics, as DuckDB reads them."""
    query = f"""select path_in_schema, sum(stats_null_count)::bigint
        from parquet_metadata('{folder}/*.parquet') group by 1"""
    return dict(duckdb.connect().sql(query).fetchall())


def compare(checks, out, dictionary):
    """Adds the checks of every table in the dictionary."""
    folders = sorted(p.name for p in (Path(out) / "parquet").iterdir())
    checks.same("table-folders", "every table of the dictionary has a folder, and no other does", PYARROW, REFERENCE,
                [(folders, sorted(t.name for t in dictionary))], TEST, "lists")
    for entry in dictionary:
        folder = Path(out) / "parquet" / entry.name
        table = pyarrow.dataset.dataset(folder, format="parquet").to_table()
        for reader, read in READERS.items():
            _cells(checks, f"table-{entry.name}-{reader.split()[0].lower()}",
                   f"{entry.name}: rows of the folder as one table", f"{reader} against {PYARROW}", table, read(folder))
        csv_path = Path(out) / "csv" / f"{entry.name}.csv"
        if entry.csv:
            header, lines = from_csv(csv_path, table.schema.remove_metadata())
            _cells(checks, f"table-{entry.name}-csv", f"{entry.name}: CSV against Parquet, header and cells",
                   f"{PYARROW} and Python's csv", table, lines.rename_columns(header))
        elif csv_path.exists():
            checks.failures.append(f"{csv_path} is there, and the dictionary says Parquet only")
        _compare_files(checks, entry, folder, table)


def _cells(checks, id, what, source, ours, theirs):
    """Adds a check of all cells."""
    equal, total = equal_cells(ours, theirs)
    checks.counted(id, what, source, REFERENCE, equal, total, TEST, "cells")


def _compare_files(checks, entry, folder, table):
    """Adds the checks of schema, dictionary, null counts and statistics."""
    paths = sorted(folder.glob("*.parquet"))
    schemas = [pyarrow.parquet.read_schema(path) for path in paths]
    checks.same(f"table-{entry.name}-schema", f"{entry.name}: columns, types and what may be missing, of every file",
                f"{PYARROW} against boutwise schema", REFERENCE,
                [((s.names, [c.fits(f) for c, f in zip(entry.columns, s)]),
                  ([c.name for c in entry.columns], [True] * len(entry.columns))) for s in schemas], TEST, "files")
    described = [((s.metadata or {}).get(f"column.{c.name}".encode(), b"").decode(), c.text())
                 for s in schemas for c in entry.columns]
    checks.same(f"table-{entry.name}-metadata", f"{entry.name}: the dictionary in the files' metadata",
                f"{PYARROW} against boutwise schema", REFERENCE, described, TEST, "entries")
    stated = duckdb_nulls(folder)
    counted = [(stated.get(c, 0), table.column(c).null_count) for c in table.column_names]
    checks.same(f"table-{entry.name}-nulls", f"{entry.name}: null counts in the statistics",
                f"{DUCKDB}, counted by {PYARROW}", REFERENCE, counted, TEST, "columns")
    checks.same(f"table-{entry.name}-statistics", f"{entry.name}: rows, nulls and bounds in every file's statistics",
                PYARROW, REFERENCE, [pair for path in paths for pair in statistics(path)], TEST, "facts")
