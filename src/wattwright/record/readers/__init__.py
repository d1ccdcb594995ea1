"""Readers: bytes of a meter file into columns of text, stamps and numbers. They judge form, never meaning."""
