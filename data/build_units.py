"""Write data/unit_factors.csv: grams and millilitres of every kitchen unit, worked out by pint.

    python data/build_units.py

Run it after a change of data/units.txt or data/kitchens.toml.
"""

from __future__ import annotations

import csv
import io

from pipeline.files import write_text
from pipeline.measure.registry import COLUMNS, factors
from pipeline.resources import data_path


def main() -> None:
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\n")
    writer.writerow(COLUMNS)
    writer.writerows(factors())
    print(f"unit_factors.csv: {write_text(data_path('unit_factors.csv'), text.getvalue(), force=True)}")


if __name__ == "__main__":
    main()
