"""What the rules ask of a plan: findings, permissions, verdict."""
