"""The walk over the decision graph, and the conversation about it; knows nothing of terminals."""
