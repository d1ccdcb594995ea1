"""Equipment that uses power, each with its physics: what it draws when it is fed, and what it keeps warm, cold, dry or wet."""
