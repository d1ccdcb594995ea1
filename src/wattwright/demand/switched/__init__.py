"""What switches: loads found in a record by their power steps, at any step from a minute to an hour."""
