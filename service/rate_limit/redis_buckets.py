"""Buckets in Redis, for workers on several machines: one script per request, using Redis's own clock; if that is set back, the buckets
recover (`buckets.py`).
"""

from __future__ import annotations

from service.rate_limit.buckets import PATIENCE_SECONDS, Taken
from service.settings import SettingsError

_TAKE = """
local time = redis.call('TIME')
local now = tonumber(time[1]) + tonumber(time[2]) / 1000000
local full_at = math.max(tonumber(redis.call('GET', KEYS[1]) or now), now)
if full_at - now > tonumber(ARGV[2]) + 0.001 then
    full_at = now
end
local moved = full_at + tonumber(ARGV[1])
if moved - now > tonumber(ARGV[2]) + 0.000001 then
    return {0, string.format('%.6f', full_at - now)}
end
redis.call('SET', KEYS[1], string.format('%.6f', moved), 'PX', math.ceil((moved - now) * 1000) + 1000)
return {1, string.format('%.6f', moved - now)}
"""
_FOLDER = "wire-quotes:limit:"


class RedisBuckets:
    """Buckets in a Redis database."""

    def __init__(self, url: str) -> None:
        try:
            import redis
        except ImportError:
            raise SettingsError(["SERVICE_REDIS_URL: install the extra `redis` to use it"]) from None
        try:
            self._client = redis.Redis.from_url(url, socket_timeout=PATIENCE_SECONDS, socket_connect_timeout=PATIENCE_SECONDS)
        except ValueError:
            raise SettingsError(["SERVICE_REDIS_URL: a URL such as redis://127.0.0.1:6379/0"]) from None
        self._failure, self._take = redis.RedisError, self._client.register_script(_TAKE)

    def take(self, name: str, interval: float, window: float) -> Taken:
        """Take one request. Raises OSError if Redis does not respond."""
        try:
            allowed, ahead = self._take(keys=[_FOLDER + name], args=[interval, window])
        except self._failure as error:
            raise ConnectionError(str(error)) from error
        return Taken(bool(allowed), float(ahead))

    def close(self) -> None:
        """Close this process's connections."""
        self._client.close()
