"""Tests of what a finish takes: materials, cost, days, skills."""
