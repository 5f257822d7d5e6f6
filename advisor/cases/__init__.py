"""The case log: who came, with what, what was advised, what was really done, and how it went."""
