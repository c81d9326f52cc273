# The service in one container: `docker build -t quotes .`, then `docker run -p 8000:8000 -v quotes:/data quotes`.
FROM python:3.11-slim

ENV PYTHONDONTWRITEBYTECODE=1 \
    PYTHONUNBUFFERED=1 \
    PIP_NO_CACHE_DIR=1 \
    PIP_DISABLE_PIP_VERSION_CHECK=1

WORKDIR /app
COPY pyproject.toml README.md LICENSE openapi.yaml ./
COPY .pins .pins
COPY pricing pricing
COPY service service
# PDFs need Pango; the fonts write names in most scripts. Versions are the base image's Debian: pinned ones vanish with its next update.
# hadolint ignore=DL3008
RUN apt-get update \
    && apt-get install --yes --no-install-recommends libpango-1.0-0 libpangoft2-1.0-0 libharfbuzz-subset0 fonts-dejavu-core fonts-noto-core fonts-noto-cjk fonts-noto-color-emoji \
    && rm -rf /var/lib/apt/lists/* \
    && pip install --constraint .pins/constraints.txt --editable ".[otel,pdf,postgres,redis]" \
    && useradd --system --no-create-home --uid 10001 --user-group quotes \
    && install --directory --owner quotes --mode 0750 /data

# What a deployment decides comes from outside, secrets before all; these are what the container itself decides.
ENV SERVICE_HOST=0.0.0.0 \
    SERVICE_PORT=8000 \
    SERVICE_DATABASE_URL=sqlite:////data/quotes.sqlite3

USER 10001
VOLUME /data
EXPOSE 8000
STOPSIGNAL SIGTERM
HEALTHCHECK --interval=30s --timeout=5s --start-period=20s --retries=3 \
    CMD ["python", "-c", "import os, urllib.request; urllib.request.urlopen(f\"http://127.0.0.1:{os.environ['SERVICE_PORT']}/readyz\", timeout=4)"]

CMD ["python", "-m", "service"]
