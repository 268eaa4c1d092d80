"""Reports of the book as files: a table as CSV or Parquet, a page to print as PDF."""

from __future__ import annotations

import csv
import io
from dataclasses import asdict
from pathlib import Path
from types import ModuleType

from caskward.errors import UnwritableFile, WouldOverwrite
from caskward.errors.book_read import NoParquet
from caskward.services.book.pages import INVENTED, Page, Table
from caskward.sheets.press import printed, written
from caskward.sheets.still_files import can_be_reached

_PARQUET = b"PAR1"


def csv_text(table: Table) -> str:
    """The table as CSV: a row of names, then the rows; what is not known is empty."""
    out = io.StringIO()
    rows = csv.writer(out, lineterminator="\n")
    rows.writerow([column.name for column in table.columns])
    rows.writerows([["" if value is None else value for value in row] for row in table.rows])
    return out.getvalue()


def csv_to(table: Table, path: Path) -> None:
    """Write the table to a file.

    Raises:
        InputError: the file cannot be written there, or holds something else than such a table.
    """
    can_be_reached(path)
    _keep_others(path, f"{table.columns[0].name},{table.columns[1].name},".encode())
    try:
        path.write_text(csv_text(table), encoding="utf-8")
    except OSError as error:
        raise UnwritableFile(str(path), error.strerror or "it cannot be opened") from None


def parquet_to(table: Table, path: Path) -> None:
    """Write the table as Parquet: whole numbers as 64 bits, all else as text.

    Raises:
        NoParquet: the library for it is not there. InputError: the file cannot be written there.
    """
    duckdb = _duckdb()
    can_be_reached(path)
    _keep_others(path, _PARQUET)
    part = path.with_name(f".{path.name}.part")
    try:
        _written_by(duckdb, table, part)
        part.replace(path)
    except OSError as error:
        raise UnwritableFile(str(path), error.strerror or "it cannot be opened") from None
    finally:
        part.unlink(missing_ok=True)


def _written_by(duckdb: ModuleType, table: Table, part: Path) -> None:
    kinds = {"text": "VARCHAR", "whole": "BIGINT"}
    named = ", ".join(f'"{column.name}" {kinds[column.kind]}' for column in table.columns)
    connection = duckdb.connect(":memory:")
    try:
        connection.execute(f"CREATE TABLE report ({named})")
        if table.rows:
            marks = ", ".join("?" for _ in table.columns)
            connection.executemany(f"INSERT INTO report VALUES ({marks})", [list(row) for row in table.rows])
        quoted = str(part).replace("'", "''")
        connection.execute(f"COPY report TO '{quoted}' (FORMAT parquet)")
    except duckdb.IOException as error:
        raise OSError(0, str(error)) from None
    finally:
        connection.close()


def _duckdb() -> ModuleType:
    """The library that writes Parquet; only those who want it have it."""
    from importlib import import_module

    try:
        return import_module("duckdb")
    except ImportError:
        raise NoParquet from None


def _keep_others(path: Path, begins: bytes) -> None:
    if path.exists() and path.stat().st_size:
        with path.open("rb") as there:
            if there.read(len(begins)) != begins:
                raise WouldOverwrite(str(path))


def pdf(page: Page, svg: str = "") -> bytes:
    """The report on pages to print, black on white; `svg` is a picture for the first of them."""
    data = asdict(page) | {"mark": INVENTED if page.invented else "", "svg": svg, "tree": []}
    for section in data["sections"]:
        section["strong"] = sorted(section["strong"])
    return printed("book_report.typ", data, "pdf")[0]


def pdf_to(page: Page, path: Path, svg: str = "") -> None:
    """Write the report to a file.

    Raises:
        InputError: the file cannot be written there.
    """
    can_be_reached(path)
    written(pdf(page, svg), path)
