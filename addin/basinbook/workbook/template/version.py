"""Which version of sheets and cells a workbook has.

It is raised when an input, a table or a sheet is added, moved or taken away, or an input means
something else: then ``update.translations`` says what an old value is now. Workbooks of the first
version carry no number.
"""

from __future__ import annotations

from typing import Final

VERSION: Final = 6
VERSION_NAME: Final = "Workbook_version"
