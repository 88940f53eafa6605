"""Hears a transcript: a blank English spaCy pipeline with the components of models/speech.cfg."""

from __future__ import annotations

from functools import cache

import spacy
from spacy.language import Language
from spacy.tokens import Doc

from pipeline.hear import components
from pipeline.hear.hearing import Hearing
from pipeline.hear.speech import listen
from pipeline.read.transcript import Transcript
from pipeline.resources import models_path


@cache
def load_ear() -> Language:
    """The compiled pipeline, made once a process. Raises RulesError where a file of models/ is malformed."""
    config = spacy.util.load_config(models_path("speech.cfg"))
    return spacy.util.load_model_from_config(config, auto_fill=True)


def hear(transcript: Transcript) -> Hearing:
    """All mentions of a transcript."""
    nlp = load_ear()
    speech = listen(transcript)
    doc = Doc(nlp.vocab, words=list(speech.raw))
    doc.user_data[components.KEY] = {"speech": speech}
    for _, component in nlp.pipeline:
        doc = component(doc)
    return components.hearing_of(doc)
