"""What goes into every record: the version of program and rules, and the caution."""

from __future__ import annotations

from functools import cache

from pipeline.resources import data_path, models_path

PROGRAM = "0.1.0"
CAUTION = (
    "Not medical advice. Limits are individual: follow your own renal team and your local food-safety rules. "
    "Figures rest on what was said in the recording and on a public food table, with the range that leaves."
)
_DIGITS = 8


@cache
def rules_version() -> str:
    """The version of the program and a short hash over its rules: `0.1.0+1f0c9a2b`.

    It changes whenever a file of `models/` or `data/` changes, comes or goes, and is the same in a checkout and in an
    installed package. What Python, an editor or a file manager leaves there does not count. It reads all those files,
    once a process: only drafting, adding and rebuilding ask for it.
    """
    import hashlib

    digest = hashlib.sha256()
    for top, folder in (("models", models_path()), ("data", data_path())):
        files = {path.relative_to(folder).as_posix(): path for path in folder.rglob("*") if path.is_file()}
        for name in sorted(files):
            if "__pycache__" in name or f"/{name}".count("/.") or name.endswith("~"):
                continue
            content = hashlib.sha256(files[name].read_bytes()).hexdigest()
            digest.update(f"{top}/{name} {content}\n".encode())
    return f"{PROGRAM}+{digest.hexdigest()[:_DIGITS]}"
