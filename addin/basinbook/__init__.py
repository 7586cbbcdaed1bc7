"""Take-off, setting-out, estimate and order for raised water basins of wall block."""

__version__ = "0.2.0"
