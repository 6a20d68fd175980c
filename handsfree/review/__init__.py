"""The review of a job: findings and their text."""
