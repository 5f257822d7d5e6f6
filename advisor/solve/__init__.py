"""The solver: what-if, windows, adjustments as data, and the search for the smallest change that a hand can make."""
