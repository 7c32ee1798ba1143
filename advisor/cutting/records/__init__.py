"""Records of cutting: what is cut, what was written, and what the rolls need."""
