"""Drawings of a layout: plans, elevations, section, isometric view and cut list."""
