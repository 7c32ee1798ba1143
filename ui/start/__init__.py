"""Where Streamlit starts: beside a folder called `pages` it would take that for its own."""
