"""Building the matcher's model from `trees/phrases/`; needs the `train` extra, which the run time does not."""
