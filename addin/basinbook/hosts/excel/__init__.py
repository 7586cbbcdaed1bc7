"""Desktop Excel through the open-source part of xlwings."""
