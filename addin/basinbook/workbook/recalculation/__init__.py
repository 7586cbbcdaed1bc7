"""Recalculating a workbook file and drawing its pictures anew."""
