"""API keys, their permissions and their request quotas."""
