"""Prints the share of cases read rightly, family by family: `python -m tests.hear.shares`; with -v also what is not."""

import sys

from tests.hear.families import FAMILIES
from tests.hear.spoken import cases


def main() -> None:
    """One line a family; the marks for known misses count for nothing here."""
    print(f"| {'family':26} | cases | right | share |\n| {'-' * 26} | ----- | ----- | ----- |")
    for name, family in FAMILIES.items():
        found = [(case, family.read(case.text)) for case in cases(family.path)]
        missed = [(case, got) for case, got in found if not family.right(case, got)]
        right = len(found) - len(missed)
        print(f"| {name:26} | {len(found):5} | {right:5} | {right / len(found):5.0%} |")
        if "-v" in sys.argv:
            for case, got in missed:
                print(f"    {case.place} {case.text!r}\n        is  {got}\n        not {case.answer}")


if __name__ == "__main__":
    main()
