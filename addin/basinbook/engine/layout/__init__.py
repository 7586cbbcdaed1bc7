"""Setting-out: a place for every block, the cuts, and the stock they come from.

The rooms, in the order of the work; each uses only those before it:

``ticks``, ``model``, ``budget``
    Lengths as whole numbers; what a layout is made of; how long the searches may take.
``bond``
    Courses of one wall filled in bond with the fewest cuts: two that take turns
    (``alternating``, ``tie_breaks``), unlike ones (``fillings``, ``listed_chains``,
    ``unlike_courses``, and ``abreast`` where the budget ends), a whole wall, and the choice among
    ways to begin.
``checked_inputs``
    The inputs as ticks, checked for what can't be built.
``parts``
    Walls, second wall, openings, columns and caps: the courses to fill, and pieces in place.
``results``
    Cut plans, laying order, schedule, and what to tell about a layout or to change in its inputs.
``aims``, ``aimed``
    Walls filled for what else may be aimed at: blocks to buy, different lengths, cost.
``standing``
    As built: the courses to lay set out anew on what stands.
``planning``, ``solver``, ``size_advice``
    All parts fitted to each other; a whole layout; the inside sizes near a wanted one that need
    few cuts.
"""
