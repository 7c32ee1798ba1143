"""Records of the job wing: the job, the print, the plan."""
