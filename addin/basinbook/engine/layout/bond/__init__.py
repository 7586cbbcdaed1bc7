"""Bond search: filling the courses of a wall with the fewest cuts."""
