"""Sources of power on the site, each with its physics."""
