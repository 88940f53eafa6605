"""Grams to nutrients: the load of a recipe, targets and verdicts, and what would make it fit."""

from pipeline.load.total import load_of

__all__ = ["load_of"]
