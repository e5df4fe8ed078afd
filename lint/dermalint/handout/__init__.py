"""What the audience takes home: a page for the bathroom mirror, the same for mail, and reminders for a phone."""
