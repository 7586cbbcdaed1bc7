"""Pure calculation in SI units: knows no spreadsheet program, no workbook and no user's units."""
