"""One site, minute by minute: loads, rules and supply together. Every question about what would happen is put to this room."""
