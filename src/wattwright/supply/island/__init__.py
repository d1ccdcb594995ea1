"""Island running: what trips, where the neutral is bonded, what isolates, when own sources carry the site."""
