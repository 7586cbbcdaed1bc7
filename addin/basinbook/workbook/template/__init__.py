"""The template workbooks, built from code: one module a sheet."""
