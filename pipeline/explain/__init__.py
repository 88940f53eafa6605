"""For one moment of a recording: which rules read something there, what they read, and what became of it."""

from pipeline.explain.moment import Moment, explain
from pipeline.explain.traced import Reading

__all__ = ["Moment", "Reading", "explain"]
