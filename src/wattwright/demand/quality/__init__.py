"""Supply quality: voltage against its published band, unbalance, power factor, and limits proposed for relays."""
