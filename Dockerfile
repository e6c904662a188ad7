FROM python:3.11-slim-bookworm

# Pango draws the text of the PDFs.
RUN apt-get update \
    && apt-get install -y --no-install-recommends libpango-1.0-0 libpangoft2-1.0-0 libharfbuzz-subset0 \
    && rm -rf /var/lib/apt/lists/* \
    && useradd --system --user-group --create-home --uid 10001 gaugerod \
    && install -d -o gaugerod -g gaugerod /data/media

WORKDIR /app
ENV PYTHONUNBUFFERED=1 PYTHONDONTWRITEBYTECODE=1 STATIC_ROOT=/app/var/static

COPY requirements.lock .
RUN pip install --no-cache-dir --disable-pip-version-check --require-hashes --requirement requirements.lock

COPY . .
# No key, no database: the static files need neither.
RUN SECRET_KEY=build python manage.py collectstatic --no-input -v0 && python -m compileall -q .

USER gaugerod
CMD ["python", "-m", "gunicorn", "--config", "config/gunicorn_conf.py"]
