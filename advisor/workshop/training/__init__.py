"""Rehearsal, drills and the book: made-up riders whose fault is known, ridden through the real dialogue."""
