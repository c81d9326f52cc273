# The service in one container: `docker build -t quotes .`, then `docker run -p 8000:8000 -v quotes:/data quotes`.
# The base image is pinned by tag only. To pin it by digest for a deployment, run `docker buildx imagetools inspect python:3.11-slim` and append the
# digest that it prints to the tag, as `@sha256:...`.
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
RUN pip install --require-hashes --requirement .pins/service.txt \
    && pip install --no-deps --no-build-isolation --editable . \
    && useradd --system --no-create-home --uid 10001 --user-group quotes \
    && install --directory --owner quotes --mode 0750 /data

# Only the settings that are specific to the container; a deployment passes all others, above all secrets, from outside.
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
