"""Columns of whole blocks: free ones, those on and at walls, their caps, and the pipe in them.

``pinwheel``: how the blocks of a course lie; ``free``: columns beside and behind the basin;
``wall_columns``: columns on walls and by them; ``site``, ``support``, ``bearing``: what they
stand among and what carries them; ``pipe``: the pipe in a core; ``column_caps``: caps of one
piece or of several; ``all_columns``: all of a layout.
"""
