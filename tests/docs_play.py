"""The parts of others in the pages of docs: what a supplier or a client types."""

from __future__ import annotations
