"""Worksheets: the building physics by hand, one small calculation a sheet, for anyone to check.

A sheet states its inputs with units, each step with its formula, the result, its source and what it leaves out. The
calculations are those of `advisor.physics`; a sheet only names, converts and shows.
"""
