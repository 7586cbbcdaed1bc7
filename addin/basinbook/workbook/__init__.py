"""The workbook: build, read, recalculate, order."""
