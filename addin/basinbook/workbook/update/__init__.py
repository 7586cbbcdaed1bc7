"""Bringing an older workbook up to date: what was typed in it, into today's template."""
