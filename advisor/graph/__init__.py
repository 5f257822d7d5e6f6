"""The decision graph: what a tech may edit in `trees/`, as plain typed nodes that the dialogue walks."""
