"""Evaluating a workbook's formulas with no spreadsheet program, and number formats."""
