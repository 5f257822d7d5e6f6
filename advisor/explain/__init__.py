"""Answers into words and numbers: one text model, whatever it is shown on."""
