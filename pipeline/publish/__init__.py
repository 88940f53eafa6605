"""Recipe cards: an episode record as Markdown, plain text or a web page."""

from __future__ import annotations

from pipeline.publish.html import card_html
from pipeline.publish.markdown import card_markdown
from pipeline.publish.text import card_text

__all__ = ["card_html", "card_markdown", "card_text"]
