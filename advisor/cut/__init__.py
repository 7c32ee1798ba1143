"""Cut: artwork separated per film into files for the cutter, with names and previews."""
