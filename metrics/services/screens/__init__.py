"""From what a person typed beside the treatment table to a hands-on session: draft → save → take back."""
