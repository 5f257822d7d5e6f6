"""The workshop's commands: trees, replay, rehearse, drill, book."""
