"""Motion capture in the application: recordings read, stored, measured again, and their events moved."""
