"""The Parquet export read back by a reader of its own, beside the CSV of the same rows.

    tests/reference/run                                        runs it with the other comparisons
    python tests/reference/parquet.py lines.parquet lines.csv  reads two files that are there

Reads both with pyarrow and csv and compares row by row: a figure is the double of its digits, a day is a date,
an empty cell is null. The apostrophe that keeps a spreadsheet from working a cell out is in the CSV alone.
"""
import csv
import datetime
import sys

import pyarrow.parquet

table = pyarrow.parquet.read_table(sys.argv[1]).to_pylist()
with open(sys.argv[2], newline="", encoding="utf-8") as file:
    rows = list(csv.DictReader(file))
assert len(table) == len(rows) > 0, (len(table), len(rows))
wrong = 0
for n, (own, row) in enumerate(zip(table, rows)):
    for name, text in row.items():
        value = own[name]
        if text == "":
            fits = value is None
        elif isinstance(value, float):
            fits = value == float(text) and own[f"{name}_as_typed"] == text
        elif isinstance(value, datetime.date):
            fits = value.isoformat() == text
        else:
            fits = value == (text[1:] if text.startswith("'") else text)
        if not fits:
            wrong += 1
            print(f"row {n}, {name}: {value!r} against {text!r}")
print(f"parquet: {len(rows)} rows, {wrong} differences")
sys.exit(1 if wrong else 0)
