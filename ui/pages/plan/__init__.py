"""The page that plans a job."""
