"""Rules as they are set on relays and controllers, and what a contact does under them."""
