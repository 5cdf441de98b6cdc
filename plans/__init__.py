"""WORK: interventions, prescriptions, follow-ups, responses, throwing load."""
