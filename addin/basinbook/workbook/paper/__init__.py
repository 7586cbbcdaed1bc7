"""Sheets on paper: pages as PDF and pictures."""
