"""What a reed says when it is crowed: from sound to a note, with octaves and steadiness. Needs numpy alone."""
