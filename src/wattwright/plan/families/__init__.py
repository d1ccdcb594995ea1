"""Families of rules that a plan may be made of, each within what its gear can be set to."""
