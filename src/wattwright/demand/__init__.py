"""What the record says about the site: energy, demand, profiles, duration, peaks."""
