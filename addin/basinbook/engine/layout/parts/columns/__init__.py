"""Columns of whole blocks: free ones, those on and at walls, their caps, and the pipe in them.

``free``: columns beside and behind the basin; ``wall_columns``: columns on walls, by them and in
them; ``site``, ``support``, ``bearing``: what they stand among and what carries them; ``pipe``: the
pipe in a core; ``column_caps``: caps of one piece or of several; ``all_columns``: all of a layout.
What walls need to know of columns that are part of them stands beside this room, not in it:
``pinwheel``, ``standing_column``, ``engaged``.
"""
