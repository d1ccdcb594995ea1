"""One property's file, and the assessment that wires the stages."""
