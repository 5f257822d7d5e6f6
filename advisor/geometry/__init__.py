"""The geometry core: boot, binding, board and legs as pure functions; knows nothing of dialogue or terminals."""
