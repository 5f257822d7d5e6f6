"""The setup sheet: what is known of rider, boots, board, bindings and mount, and how well it is known."""
