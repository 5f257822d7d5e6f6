"""What no counter needs: proof, walks, coverage, drawings of the graph, rehearsal, drills, book, training, recordings.

The counter imports none of it: where it hands over to something from here, it names it (`advisor.by_name`).
"""
