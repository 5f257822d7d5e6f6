"""The slip: one page for the bench and the customer, as HTML, as SVG, and for the terminal."""
