"""An entry's graph drawn: as a tree in words, and as a picture."""
