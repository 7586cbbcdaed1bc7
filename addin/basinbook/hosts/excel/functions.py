"""The functions that xlwings offers to Excel on Windows: one for each of the catalogue.

``UDF MODULES`` in xlwings' settings names this module. xlwings imports it, looks for functions
that carry its marks, and writes a VBA function for each into the workbook ("Import Functions").
On other systems xlwings' decorators do nothing and this module is of no use.
"""

from __future__ import annotations

from basinbook.catalogue import functions
from basinbook.hosts.excel.adapter import user_defined
from basinbook.hosts.excel.names import excel_name

globals().update(
    {excel_name(declared): user_defined(declared) for declared in functions().values()}
)
