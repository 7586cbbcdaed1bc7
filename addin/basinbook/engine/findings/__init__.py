"""What stands in the way of a job, or is worth a look: one list, each finding declared once."""
