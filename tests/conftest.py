"""What all tests share: property tests are reproducible and not timed, since machines are noisy."""

from hypothesis import HealthCheck, settings

settings.register_profile("reproducible", derandomize=True, deadline=None, suppress_health_check=[HealthCheck.too_slow])
settings.load_profile("reproducible")
