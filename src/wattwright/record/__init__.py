"""What a meter logged: readers, layout, channels, validation. Facts only; nothing here is estimated."""
