"""Parts of a basin, placed from their fillings: walls, columns, openings, caps."""
