"""Job: what is asked and what is answered, and how both are read and saved."""
