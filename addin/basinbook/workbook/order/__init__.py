"""The order to a supplier: read, refused or written."""
