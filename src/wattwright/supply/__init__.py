"""What to quote: sizes of inverter, battery and PV, and the money beside them."""
