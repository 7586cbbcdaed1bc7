"""As built: the courses that are laid stand as they are, the others are set out on what they are.

What the walls measure inside takes the place of the size that was planned. Pieces that are laid
keep their lengths and their distance from the nearer corner: what a wall is longer or shorter lies
in one joint at its middle (``parts.laid_rows``). Blocks on edge between flat ones stand where they
were set out in laid courses; in the others they are where they are asked for on the measured size.
"""
