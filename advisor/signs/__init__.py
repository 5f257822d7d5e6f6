"""The listener for signs of harm: what a line says of a body in danger or of a part that may let go."""

from advisor.signs.listener import Heard, Listener, Sign, load_listener

__all__ = ["Heard", "Listener", "Sign", "load_listener"]
