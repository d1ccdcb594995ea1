"""What days are like: groups of days, breaks, base load, and how energy follows the outdoor temperature."""
