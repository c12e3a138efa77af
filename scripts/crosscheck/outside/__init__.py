"""Comparisons with independent libraries, and the list of all outside checks."""
