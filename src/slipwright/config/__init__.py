"""Settings of the Django project."""
