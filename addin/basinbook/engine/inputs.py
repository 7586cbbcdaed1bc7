"""An input: what the estimator gives, declared once for sheets, readers and messages.

The inputs of a layout are declared in ``engine.spec``; those of prices, water and loads in
``workbook.template.inputs``. Sheets are written from these lists by sheet and group.
"""

from __future__ import annotations

from dataclasses import dataclass

from basinbook.engine.kinds import Kind


def cell_name(label: str) -> str:
    """Return the defined name of the cell that a label stands beside."""
    return label.replace(" ", "_").replace("-", "_")


@dataclass(frozen=True)
class Input:
    """One input, as sheets and messages name it.

    ``help`` says what the label leaves open: it is printed beside the cell and shown on it while it
    is typed in.

    ``us`` and ``metric`` are what a new workbook starts with, as it would be typed. ``low`` and
    ``high`` are in SI, inclusive; ``like`` ("FUNCTION.argument") takes them from the declaration
    of what they belong to. Allowed values are ``choices``, or the names in the table ``rows_of``.
    A blank means ``default`` (SI, or None for "not given") unless the input is ``required``.
    ``named`` is its cell's name where the label does not give it; ``per`` follows the unit, or
    stands for one. ``when``: cells that all must have something for this input to count, or one of
    several with " or " between them; 0, no and none are nothing.
    """

    label: str
    kind: Kind
    us: object = None
    metric: object = None
    help: str = ""
    low: float | None = None
    high: float | None = None
    like: str = ""
    choices: tuple[str, ...] = ()
    rows_of: str = ""
    sheet: str = ""
    group: str = ""
    required: bool = False
    default: object = None
    named: str = ""
    per: str = ""
    percent: bool = False
    when: tuple[str, ...] = ()

    @property
    def name(self) -> str:
        """The defined name of its cell."""
        return self.named or cell_name(self.label)

    def start(self, system: str) -> object:
        """Return what a new workbook of a unit system starts with."""
        return self.metric if system == "metric" else self.us
