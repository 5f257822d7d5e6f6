"""The chance that a change cures: the complaint as evidence, riders' own thresholds, today's step and its ladder."""
