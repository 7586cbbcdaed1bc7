"""What follows from a layout: cut plan, numbering, setting plan, advice."""
