"""Every document that a command prints with --json, by the name of the command."""

from __future__ import annotations

from collections.abc import Mapping

from boottop.files import documents
from boottop.files.cost_json import CostDocument, ProofDocument
from boottop.files.odds_json import ChooseDocument, OddsDocument
from boottop.files.record_schema import RecordDocument

DOCUMENTS: Mapping[str, type[documents.Document]] = {
    **documents.DOCUMENTS,
    "choose": ChooseDocument,
    "cost": CostDocument,
    "odds": OddsDocument,
    "proof": ProofDocument,
    "record": RecordDocument,
}
