"""How often the sweep looks; apart, so that Celery's configuration can read it before the models are loaded."""

SWEEP_SECONDS = 10
