"""Pictures of place and path, drawn without Qt: shared by desk and briefing."""
