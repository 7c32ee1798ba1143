"""What Presslore works out: artwork, choice, order, schedule, heat, check and plan."""
