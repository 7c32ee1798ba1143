"""One file a step; a step that has been shipped is never changed."""
