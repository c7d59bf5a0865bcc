"""Every document that a command prints with --json, by the name of the command."""

from __future__ import annotations

from collections.abc import Mapping

from boottop.files import documents
from boottop.files.cost_json import CostDocument, ProofDocument
from boottop.files.record_schema import RecordDocument

DOCUMENTS: Mapping[str, type[documents.Document]] = {
    **documents.DOCUMENTS,
    "cost": CostDocument,
    "proof": ProofDocument,
    "record": RecordDocument,
}
