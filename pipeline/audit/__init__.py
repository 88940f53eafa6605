"""Stated temperatures and times of a recording, held against each other and against published figures."""

from __future__ import annotations

from pipeline.audit.build import audit
from pipeline.audit.captions import captions
from pipeline.audit.export import audit_csv, audit_json, audit_text
from pipeline.audit.page import audit_html
from pipeline.audit.report import Audit, Setting

__all__ = ["Audit", "Setting", "audit", "audit_csv", "audit_html", "audit_json", "audit_text", "captions"]
