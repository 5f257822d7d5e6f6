"""From little to a sheet: what is told at the counter, what to ask next, and the hire desk's list of riders."""
