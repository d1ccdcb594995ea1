"""One site, minute by minute: the engine that everything asks which needs to know what would be if."""
