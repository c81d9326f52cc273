"""OpenTelemetry traces, if the extra `otel` is installed and an exporter address is set; otherwise none of it is loaded.

A span has the route template, the method and the status (OpenTelemetry's semantic conventions for HTTP), and continues the caller's
trace (`traceparent`, W3C Trace Context). It contains no path, query or header.
"""

from __future__ import annotations

import os
from http import HTTPStatus
from typing import Any

from flask import Flask, Response, g, request

from service.http.unproxied import request_state
from service.observability.log import method, route

SWITCHES = ("OTEL_EXPORTER_OTLP_ENDPOINT", "OTEL_EXPORTER_OTLP_TRACES_ENDPOINT")


def wanted() -> bool:
    """Whether an exporter address is set and tracing is not disabled."""
    return any(os.environ.get(each) for each in SWITCHES) and os.environ.get("OTEL_SDK_DISABLED", "").lower() != "true"


def begin() -> Any:
    """Create the tracer provider in a worker, after the fork; None if tracing is not enabled. Raises ImportError without the extra."""
    if not wanted():
        return None
    from opentelemetry.exporter.otlp.proto.http.trace_exporter import OTLPSpanExporter
    from opentelemetry.sdk.trace import TracerProvider
    from opentelemetry.sdk.trace.export import BatchSpanProcessor

    provider = TracerProvider()
    provider.add_span_processor(BatchSpanProcessor(OTLPSpanExporter()))
    return provider


def install(app: Flask) -> None:
    """Create a span for each request once `app.extensions["spans"]` is a provider."""
    app.extensions.setdefault("spans", None)

    @app.before_request
    def start() -> None:
        if app.extensions["spans"] is not None:
            g.span = _span(app.extensions["spans"])

    @app.after_request
    def answered(response: Response) -> Response:
        span = request_state().get("span")
        if span is not None:
            from opentelemetry.trace import Status, StatusCode

            span.set_attribute("http.response.status_code", response.status_code)
            if response.status_code >= HTTPStatus.INTERNAL_SERVER_ERROR:
                span.set_status(Status(StatusCode.ERROR))
            if "request_id" in g:
                span.set_attribute("quotes.request_id", g.request_id)
        return response

    @app.teardown_request
    def over(_: BaseException | None) -> None:
        span = request_state().pop("span", None)
        if span is not None:
            span.end()


def _span(provider: Any) -> Any:
    from opentelemetry.trace import SpanKind
    from opentelemetry.trace.propagation.tracecontext import TraceContextTextMapPropagator

    carrier = {name: request.headers[name] for name in ("traceparent", "tracestate") if name in request.headers}
    parent = TraceContextTextMapPropagator().extract(carrier)
    return provider.get_tracer("quotes").start_span(
        f"{method()} {route()}",
        context=parent,
        kind=SpanKind.SERVER,
        attributes={"http.request.method": method(), "http.route": route()},
    )
