"""Advisor for snowboard technicians: binding set-up explained from one geometry core."""

__version__ = "0.1.0"
