"""Tests of the building physics against published tables, outside libraries and independent solvers."""
