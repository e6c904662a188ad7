"""Settings, addresses, Celery and the launcher. Nothing is imported here: the launcher starts before Django does."""
