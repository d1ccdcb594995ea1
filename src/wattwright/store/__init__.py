"""Many jobs in one database: revisions, files by their content, and long work."""
