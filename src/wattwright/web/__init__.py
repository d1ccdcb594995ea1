"""The desk: read-only pages of one job, shown to a browser on the same machine."""
