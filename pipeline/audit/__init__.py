"""Stated temperatures and times of a recording, held against each other and against published figures."""

from __future__ import annotations

from pipeline.audit.build import audit
from pipeline.audit.report import Audit, AuditFinding, Setting

__all__ = ["Audit", "AuditFinding", "Setting", "audit"]
