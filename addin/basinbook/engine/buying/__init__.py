"""Buying: what to take from which supplier so that the need is covered at the least cost."""
