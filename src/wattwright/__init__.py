"""wattwright: from a meter file to decisions about metering and load control."""

__version__ = "0.1.0"
