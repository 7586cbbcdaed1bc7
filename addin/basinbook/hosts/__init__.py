"""Hosts that call the catalogue: embedded recalculation, Calc, Excel."""
