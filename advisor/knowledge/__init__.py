"""Knowledge files: one reader with line numbers, one dialect, the tables as read, and what is wrong with them."""
