"""Workbook files: reading their parts, storing values, writing without loss."""
