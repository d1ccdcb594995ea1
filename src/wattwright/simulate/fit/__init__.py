"""Today's loads fitted to a record, a module for each part of the way."""
