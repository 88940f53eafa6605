"""What goes into every record: the version of program and rules, and the caution."""

RULES = "0.1.0"
CAUTION = (
    "Not medical advice. Limits are individual: follow your own renal team and your local food-safety rules. "
    "Figures rest on what was said in the recording and on a public food table, with the range that leaves."
)
