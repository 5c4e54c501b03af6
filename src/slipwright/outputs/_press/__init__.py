"""The press: letters, lines and drawings, put on paper in millimetres."""
