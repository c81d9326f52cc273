"""From a bearing-to-bearing length to a cut length: the chain of members, their joints, and turnbuckle settings."""
