"""What Presslore shows: Streamlit pages and drawings."""
