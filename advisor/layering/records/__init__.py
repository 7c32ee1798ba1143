"""Records of the layering wing: the problem with its options, and how a choice is pressed."""
