"""Why: the rule behind a finding, and how a ceiling came about."""
