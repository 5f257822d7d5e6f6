"""What on a sheet is hard to believe, and what would be right: `trees/plausibility.yaml` read and applied."""
