"""Records written in open formats, so that they are read back as they were: stamps, values, units and quality."""
